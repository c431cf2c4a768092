import assert from "node:assert/strict";
import { test } from "node:test";
import type { Check, Diagnosis, SheetJson, SurveyFile } from "../src/api/types.ts";
import { diagnosisAsk, percentText, ranked } from "../src/base/causes.ts";
import { behind, sceneOf, troubles, withoutWord } from "../src/base/findings.ts";
import { withUnit, fieldKinds } from "../src/base/fields.ts";
import { accepted, bareLines, emptyDraft, headersKey, likely, mapText, tomlText, withColumn } from "../src/base/mapdraft.ts";
import { networkOf } from "../src/base/network.ts";
import { compose, fileName, undressed, usualPaper, type Page } from "../src/base/report.ts";
import { askOf, faultsOf, steps, type Wish } from "../src/base/twinask.ts";
import { flatNames } from "../src/base/names.ts";
import { unlike, type Ground } from "../src/base/unlike.ts";
import type { Shown } from "../src/part/session.ts";
import { pauseFor } from "../src/part/answer.ts";

const proposal = (kind: string, column: string, toml: string, confidence = 0.9) => ({ kind, column, what: "", confidence, evidence: "", toml });

test("a map is written from what was clicked", () => {
  let draft = accepted(emptyDraft, proposal("channel", 'P "d"', 'channel = "outdoor.1.discharge_pressure"\nunit = "psi(g)"   # the file does not say it'));
  draft = accepted(draft, proposal("sentinel", 'P "d"', "sentinels = [6553.5]"));
  draft = accepted(draft, proposal("clock", "", 'zone = "Europe/Berlin"'));
  draft = accepted(draft, proposal("shape", "", '[shape]\nhold = "2 h"   # longest time'));
  draft = withColumn(draft, "RECORD", { channel: "" });
  assert.equal(
    mapText(draft),
    'ignore = ["RECORD"]\n\n[clock]\nzone = "Europe/Berlin"\n\n[shape]\nhold = "2 h"\n' +
      '\n[[column]]\nheader = "P \\"d\\""\nchannel = "outdoor.1.discharge_pressure"\nunit = "psi(g)"\nsentinels = [6553.5]\n',
  );
  assert.equal(mapText(emptyDraft), "");
});

test("a sign for a comment inside of quotes is text", () => {
  assert.deepEqual(bareLines('channel = "a#b"  # why'), ['channel = "a#b"']);
  assert.deepEqual(bareLines("# nothing"), []);
  assert.equal(tomlText('a\\b\t"'), '"a\\\\b\\u0009\\""');
});

test("only what is likely is taken at once, the surest of a column ruling", () => {
  const file = {
    columns: [{ header: "b" }, { header: "a" }],
    proposals: [
      proposal("channel", "a", 'channel = "outdoor.1.x"', 0.8),
      proposal("channel", "a", 'channel = "outdoor.1.y"', 0.95),
      proposal("channel", "b", 'channel = "outdoor.1.z"', 0.5),
      proposal("tenths", "b", "factor = 0.1", 0.9),
    ],
  } as unknown as SurveyFile;
  const draft = likely([file], 0.75);
  assert.deepEqual(Object.keys(draft.columns), ["a"]);
  assert.equal(draft.columns["a"]?.channel, "outdoor.1.y");
  assert.equal(headersKey([file]), "a\nb");
});

const check = (over: Partial<Check>): Check => ({
  id: "c", place: "outdoor.1", verdict: "fault", because: "", channel: "outdoor.1.x", observed_seconds: 0, evidence: [], ...over,
});

test("sentences find the checks behind them", () => {
  const checks = [
    check({ place: "indoor.7", because: "gas-side pipe temperature below 45 °C for 3 h." }),
    check({ place: "indoor.8", verdict: "ok", because: "fine." }),
  ];
  const [said] = behind(["fault: indoor unit 7, too little hot gas: gas-side pipe temperature below 45 °C for 3 h."], checks, ["fault", "watch"]);
  assert.equal(said?.checks[0]?.place, "indoor.7");
  assert.equal(said && withoutWord(said), "Indoor unit 7, too little hot gas: gas-side pipe temperature below 45 °C for 3 h.");
});

test("a scene has its evidence in sight with room on both sides, and none without evidence", () => {
  const evidence = { verdict: "fault", start: "2026-01-20T10:00:00Z", end: "2026-01-20T14:00:00Z", value: 1, limit: 2, unit: "K", held_seconds: 1 } as const;
  const scene = sceneOf(check({ evidence: [evidence] }), Date.UTC(2026, 0, 20, 9, 30), Date.UTC(2026, 0, 21));
  assert.equal(scene?.from, Date.UTC(2026, 0, 20, 9, 30));
  assert.equal(scene?.to, Date.UTC(2026, 0, 20, 15));
  assert.equal(sceneOf(check({}), 0, 1), null);
});

test("numbers get the chosen unit, texts that bring their own keep it", () => {
  assert.equal(withUnit({ text: " 4.15 ", unit: "MPa(g)" }), "4.15MPa(g)");
  assert.equal(withUnit({ text: "24, 26F", unit: "C" }), "24C,26F");
  assert.equal(withUnit({ text: "", unit: "C" }), "");
  assert.equal(fieldKinds(["degC", "degF"], "ip"), "degF");
  assert.equal(fieldKinds(["degC", "degF"], "si"), "degC");
});

test("names of files are flat and none is there twice", () => {
  assert.deepEqual(flatNames(["/a/log.csv", "/b/log.csv", "/b/log.csv"]), ["log.csv", "b_log.csv", "2_log.csv"]);
});

const pipe = (from: string, to: string) => ({ id: `${from}-${to}`, from, to, length_m: 1, rise_m: 0, liquid: null, gas: null, third: null });

test("a pipe tree is laid out with modules left, units in rows of their own, joints between", () => {
  const sheet = { pipes: [pipe("outdoor.1", "joint.m"), pipe("outdoor.2", "joint.m"), pipe("joint.m", "joint.a"), pipe("joint.a", "indoor.1"), pipe("joint.a", "joint.b"), pipe("joint.b", "indoor.2"), pipe("joint.b", "indoor.3")] } as unknown as SheetJson;
  const net = networkOf(sheet);
  const at = new Map(net.nodes.map((n) => [n.id, n]));
  const rows = ["indoor.1", "indoor.2", "indoor.3"].map((id) => at.get(id)?.row);
  assert.deepEqual(rows, [0, 1, 2]);
  assert.equal(at.get("outdoor.1")?.column, 0);
  for (const r of net.runs) assert.ok(r.from.column < r.to.column, `${r.from.id} lies left of ${r.to.id}`);
  assert.ok((at.get("outdoor.2")?.row ?? 0) - (at.get("outdoor.1")?.row ?? 0) > 2, "modules do not overlap");
});

test("a report holds what was chosen and always its cautions, last", () => {
  const page: Page = {
    style: "p{}",
    parts: [
      { key: "verdict", title: "Verdict", html: "<header>V</header>", always: true },
      { key: "checks", title: "Checks", html: "<section>C</section>", always: false },
      { key: "cautions", title: "Cautions", html: "<footer>W</footer>", always: true },
    ],
  };
  const extra = { key: "x", title: "A < B", html: "<svg></svg>", style: "" };
  const none = compose(page, new Set(), [extra], { site: "", by: "", remarks: "" }, "t");
  assert.ok(!none.includes("<section>C") && !none.includes("<svg>"));
  const all = compose(page, new Set(["checks", "x"]), [extra], { site: "<Roof>", by: "", remarks: "" }, "t");
  assert.ok(all.includes("&lt;Roof&gt;") && all.includes("A &lt; B"));
  assert.ok(all.indexOf("<header>") < all.indexOf("Roof") && all.indexOf("<svg>") < all.indexOf("<footer>"));
});

const wish: Wish = { mode: "heating", outdoor: 270, room: 294, charge: null, calls: [true, false], module: {}, unitAt: -1, unit: {}, air: 0 };

test("a healthy wish asks for no fault, a fault only where it is", () => {
  assert.equal(faultsOf(wish, 2), undefined);
  assert.equal("charge" in askOf({ example: "e" }, wish, 2), false);
  const faults = faultsOf({ ...wish, module: { coil_blocked: 0.3, fan_lost: 0 }, unitAt: 1, unit: { valve_stuck: 0.1 } }, 2);
  assert.deepEqual(faults, { modules: [{ coil_blocked: 0.3 }, {}], units: [{}, { valve_stuck: 0.1 }] });
  assert.deepEqual(steps(0, 10, 3), [0, 5, 10]);
});

test("causes stand with nothing and something else among them, by probability", () => {
  const d = {
    causes: [
      { cause: "undercharge", place: "system", probability: 0.6 },
      { cause: "filter", place: "indoor.3", probability: 0.05 },
    ],
    healthy: 0.3,
    unknown: 0.05,
  } as unknown as Diagnosis;
  assert.deepEqual(ranked(d).map((r) => r.key), ["undercharge@system", "healthy", "filter@indoor.3", "unknown"]);
  assert.deepEqual([0, 0.004, 0.045, 0.5, 0.996, 1].map(percentText), ["0 %", "under 1 %", "5 %", "50 %", "over 99 %", "100 %"]);
});

test("what takes long to answer is asked for less often", () => {
  assert.equal(pauseFor(250, undefined), 250);
  assert.equal(pauseFor(250, 40), 250);
  assert.equal(pauseFor(250, 2000), 1000);
  assert.equal(pauseFor(250, 60_000), 1500);
});

test("styles are cut from a page of paper, whatever stands in them", () => {
  const { bare, style } = undressed('<head><style media="print">a{b:c}</style><title>t</title></head><svg><STYLE>\nd{}</STYLE ></svg><p style-x>');
  assert.equal(bare, "<head><title>t</title></head><svg></svg><p style-x>");
  assert.equal(style, "a{b:c}\n\nd{}");
});

test("what follows from a finding stands under it", () => {
  const check = (id: string, because: string) => ({ id, place: "outdoor.1", verdict: "fault", because, channel: "", evidence: [] }) as unknown as Check;
  const checks = [check("a", "Too low."), check("b", "Too hot."), check("c", "Too cold.")];
  const found = troubles(
    [
      { text: "fault: outdoor module 1, a: Too low.", follows: ["watch: outdoor module 1, b: Too hot. It most likely follows from the above: why."] },
      { text: "fault: outdoor module 1, c: Too cold.", follows: [] },
    ],
    checks,
  );
  assert.deepEqual(found.map((t) => [t.root.checks.map((c) => c.id), t.follows.map((f) => [f.verdict, f.checks.map((c) => c.id)])]), [[["a"], [["watch", ["b"]]]], [["c"], []]]);
});

test("a comparison says what beside the readings differs", () => {
  const ground = (pressure: number, refrigerant: string, sheet: string | null): Ground => ({ verdict: { refrigerant, barometric_pressure: { value: pressure, unit: "Pa" } }, sheet });
  const text = (si: number | null | undefined) => `${(si ?? NaN) / 1000} kPa`;
  const units: Shown = { system: "si", text, number: text, symbol: () => "kPa" };
  const here = ground(101_325, "R-410A", "name = 'a'");
  assert.deepEqual(unlike(here, ground(101_300, "R-410A", "name = 'a'"), units, false), []);
  // Standard atmosphere at 1600 m: 83.5 kPa.
  const [air, fluid, sheet] = unlike(here, ground(83_524, "R-32", null), units, false);
  assert.match(air ?? "", /gauge/);
  assert.match(fluid ?? "", /R-410A here and R-32 there/);
  assert.match(sheet ?? "", /no system sheet.*Is it the same machine/);
  assert.match(unlike(here, ground(101_325, "R-410A", "name = 'b'"), units, true)[0] ?? "", /used for both/);
});

test("a diagnosis is asked for with what the address says of it", () => {
  assert.deepEqual(diagnosisAsk({ r: "x", u: "ip", sound: "y", coldest: "-20degC", hottest: "" }), { sound: "y", coldest: "-20degC" });
});

test("a report is called as its recording, on the paper of the units", () => {
  assert.equal(fileName("Dach: Nord/1, März", "pdf"), "Dach_Nord_1_März.pdf");
  assert.equal(fileName("../..", "pdf"), "report.pdf");
  assert.deepEqual([usualPaper("si"), usualPaper("ip")], ["a4", "letter"]);
});
