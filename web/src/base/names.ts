/** Names as the server wants them: no folders, none twice. */
export function flatNames(paths: readonly string[]): string[] {
  const taken = new Set<string>();
  return paths.map((path) => {
    const parts = path.split("/").filter((p) => p !== "");
    let name = parts.at(-1) ?? "recording";
    for (let depth = 2; taken.has(name) && depth <= parts.length; ++depth) {
      name = parts.slice(-depth).join("_");
    }
    for (let i = 2; taken.has(name); ++i) name = `${i}_${parts.at(-1) ?? "recording"}`;
    taken.add(name);
    return name;
  });
}

/** "outdoor.2.compressor.1" as people say it. */
export function placeWords(place: string): string {
  return place
    .replace(/\boutdoor\.(\w+)/, "outdoor module $1")
    .replace(/\bindoor\.(\w+)/, "indoor unit $1")
    .replace(/\bbranch\.(\w+)/, "branch box $1")
    .replace(/\.compressor\.(\w+)/, ", compressor $1");
}
