import type { ChannelInfo, Check, VerdictJson } from "../api/types.ts";
import type { Shown } from "../part/session.ts";
import type { Shade } from "../plot/lane.ts";
import { isoMs } from "./time.ts";

/**
 * Evidence of every finding on a channel that is shown, its limit in words. What was judged may be another thing than the
 * channel, as a distance from a set point is: its limit has no place on the channel's scale, and draws no line.
 */
export function shadesOf(
  verdict: VerdictJson | undefined,
  show: Check | undefined,
  channels: readonly Pick<ChannelInfo, "name" | "dimension">[],
  units: Pick<Shown, "text">,
): Shade[] {
  const checks = (verdict?.checks ?? []).filter((c) => c.verdict === "fault" || c.verdict === "watch");
  const all = show && !checks.includes(show) ? [...checks, show] : checks;
  const dimensions = new Map(channels.map((c) => [c.name, c.dimension]));
  return all.flatMap((check) =>
    check.evidence.map((e) => ({
      channel: check.channel,
      from: isoMs(e.start),
      to: isoMs(e.end),
      limit: Number.isFinite(e.limit) && dimensions.get(check.channel) === e.dimension ? e.limit : null,
      text: `limit ${units.text(e.limit, e.dimension)}`,
    })),
  );
}
