import type { Check, Verdict, VerdictJson } from "../api/types.ts";
import { isoMs } from "./time.ts";

/** One sentence of the answer with the checks that it is made from. */
export interface Said {
  sentence: string;
  verdict: Verdict;
  checks: Check[];
}

/** Which checks stand behind each sentence: those whose reason the sentence ends with. */
export function behind(sentences: readonly string[], checks: readonly Check[], of: readonly Verdict[]): Said[] {
  const rank = (c: Check) => of.indexOf(c.verdict);
  const worst = [...checks].filter((c) => of.includes(c.verdict)).sort((a, b) => rank(a) - rank(b));
  return sentences.map((sentence) => {
    const mine = worst.filter((c) => c.because !== "" && sentence.includes(c.because.replace(/\.$/, "")));
    const named = of.find((v) => sentence.startsWith(`${v}:`));
    return { sentence, verdict: named ?? mine[0]?.verdict ?? of[0] ?? "unproven", checks: mine };
  });
}

/** A root finding with those that most likely follow from it. */
export interface Trouble {
  root: Said;
  follows: Said[];
}

export function troubles(roots: readonly { text: string; follows: string[] }[], checks: readonly Check[]): Trouble[] {
  const wrong: Verdict[] = ["fault", "watch"];
  return roots.flatMap(({ text, follows }) => {
    const [root] = behind([text], checks, wrong);
    return root ? [{ root, follows: behind(follows, checks, wrong) }] : [];
  });
}

/** The sentence without the verdict's word in front, which is shown as a mark. */
export function withoutWord(said: Said): string {
  const front = `${said.verdict}: `;
  const text = said.sentence.startsWith(front) ? said.sentence.slice(front.length) : said.sentence;
  return text.charAt(0).toUpperCase() + text.slice(1);
}

export interface Scene {
  channels: string[];
  from: number;
  to: number;
  at: number;
}

/** What to look at for a finding: its channel and its evidence with room on both sides. */
export function sceneOf(check: Check, start: number, end: number): Scene | null {
  const from = Math.min(...check.evidence.map((e) => isoMs(e.start)));
  const to = Math.max(...check.evidence.map((e) => isoMs(e.end)));
  if (check.channel === "" || !Number.isFinite(from) || !Number.isFinite(to)) return null;
  const room = Math.max(0.25 * (to - from), 20 * 60_000);
  return {
    channels: [check.channel],
    from: Math.max(start, from - room),
    to: Math.min(end, to + room),
    at: from,
  };
}

/** Which finding the address names: "check.id@place". */
export function findingKey(check: Check): string {
  return `${check.id}@${check.place}`;
}

export function findingOf(verdict: VerdictJson | undefined, key: string | undefined): Check | undefined {
  return key === undefined ? undefined : verdict?.checks.find((c) => findingKey(c) === key);
}

/** Checks by id, worst first, in the catalogue's order within the same verdict. */
export function grouped(checks: readonly Check[]): { id: string; title: string; checks: Check[] }[] {
  const groups = new Map<string, Check[]>();
  for (const check of checks) {
    const group = groups.get(check.id);
    if (group) group.push(check);
    else groups.set(check.id, [check]);
  }
  const order: Verdict[] = ["fault", "watch", "unproven", "ok", "not_asked"];
  const worst = (group: Check[]) => Math.min(...group.map((c) => order.indexOf(c.verdict)));
  return [...groups]
    .map(([id, group]) => ({
      id,
      title: group[0]?.title ?? id.replaceAll(/[._]/g, " "),
      checks: [...group].sort((a, b) => order.indexOf(a.verdict) - order.indexOf(b.verdict)),
    }))
    .sort((a, b) => worst(a.checks) - worst(b.checks));
}
