/** One part of the check's page that can be left out. */
export interface Part {
  key: string;
  title: string;
  html: string;
  always: boolean;
}

export interface Page {
  style: string;
  parts: Part[];
}

function keyOf(title: string): string {
  return title.toLowerCase().replaceAll(/\(.*?\)/g, "").trim().replaceAll(/[^a-z0-9]+/g, "-").replaceAll(/^-|-$/g, "");
}

/**
 * A page of paper of the program without its styles, and these. Cut from the text: even in a document that is only read,
 * the policy of our page refuses what becomes a style.
 */
export function undressed(html: string): { bare: string; style: string } {
  const styles: string[] = [];
  const bare = html.replaceAll(/<style\b[^>]*>([^]*?)<\/style\s*>/gi, (_, style: string) => {
    styles.push(style);
    return "";
  });
  return { bare, style: styles.join("\n") };
}

/** The page of the check in its parts: what stands before the second heading of a section always goes along. */
export function partsOf(document: Document, style: string): Page {
  const main = document.querySelector("main") ?? document.body;
  const parts: Part[] = [];
  for (const element of main.children) {
    const heading = element.querySelector("h1, h2")?.textContent?.trim() ?? "";
    const always = element.matches("header, footer, .answers");
    const title = element.matches("header") ? "Verdict" : element.matches(".answers") ? "The three questions" : element.matches("footer") ? "Cautions" : heading;
    parts.push({ key: keyOf(title), title, html: element.outerHTML, always });
  }
  return { style, parts };
}

export interface Extra {
  key: string;
  title: string;
  html: string;
  style: string;
}

/** The words of a person at the top of a report. */
export interface Cover {
  site: string;
  by: string;
  remarks: string;
}

export type PaperSize = "a4" | "letter";

/** The paper of a person who has not said which: that of the units. */
export function usualPaper(units: string): PaperSize {
  return units === "ip" ? "letter" : "a4";
}

/** What a saved report is called: the recording's name without what file names do not carry. */
export function fileName(recording: string, ending: string): string {
  return `${recording.replaceAll(/[^\p{L}\p{N}.-]+/gu, "_").replaceAll(/^[_.]+|_+$/g, "") || "report"}.${ending}`;
}

export function escapeHtml(text: string): string {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll('"', "&quot;");
}

const coverStyle = ".cover p{white-space:pre-wrap;margin:.2em 0}.extra{break-before:page}.extra svg{width:100%;height:auto}h2+p{break-after:avoid}";

function coverHtml(cover: Cover): string {
  const rows = [["Site", cover.site], ["Prepared by", cover.by], ["Remarks", cover.remarks]]
    .filter(([, text]) => (text ?? "").trim() !== "")
    .map(([label, text]) => `<p><strong>${label}:</strong> ${escapeHtml((text ?? "").trim())}</p>`);
  return rows.length > 0 ? `<section class="cover">${rows.join("")}</section>` : "";
}

/** One self-contained page of the chosen parts; cautions last, as in the check's own page. */
export function compose(page: Page, chosen: ReadonlySet<string>, extras: readonly Extra[], cover: Cover, title: string): string {
  const body = page.parts.filter((p) => p.always || chosen.has(p.key));
  const first = body.filter((p) => p.title === "Verdict");
  const last = body.filter((p) => p.title === "Cautions");
  const rest = body.filter((p) => !first.includes(p) && !last.includes(p));
  const more = extras.filter((e) => chosen.has(e.key));
  const html = (parts: readonly Part[]) => parts.map((p) => p.html).join("\n");
  const styles = [page.style, coverStyle, ...new Set(more.map((e) => e.style))].join("\n");
  return (
    `<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">` +
    `<title>${escapeHtml(title)}</title><style>${styles}</style></head><body><main>\n` +
    `${html(first)}\n${coverHtml(cover)}\n${html(rest)}\n` +
    more.map((e) => `<section class="extra"><h2>${escapeHtml(e.title)}</h2>${e.html}</section>`).join("\n") +
    `\n${html(last)}</main></body></html>\n`
  );
}
