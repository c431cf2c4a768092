import assert from "node:assert/strict";
import { test } from "node:test";
import type { Check, Diagnosis, SheetJson, SurveyFile, VerdictJson } from "../src/api/types.ts";
import { diagnosisAsk, percentText, ranked } from "../src/base/causes.ts";
import { behind, sceneOf, troubles, withoutWord } from "../src/base/findings.ts";
import { withUnit, fieldKinds } from "../src/base/fields.ts";
import { accepted, bareLines, columnKey, draftOf, emptyDraft, headersKey, keysOf, likely, mapText, tomlText, withClock, withColumn, type MapTable } from "../src/base/mapdraft.ts";
import { wanting } from "../src/base/missing.ts";
import { networkOf } from "../src/base/network.ts";
import { compose, fileName, undressed, usualPaper, type Page } from "../src/base/report.ts";
import { askOf, faultsOf, steps, type Wish } from "../src/base/twinask.ts";
import { flatNames } from "../src/base/names.ts";
import { shadesOf } from "../src/base/shades.ts";
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

test("a map that is in force becomes a draft and the same map again, nothing of it lost", () => {
  const map: MapTable = {
    barometer: "98.2 kPa",
    clock: { column: ["Date", "Time"], order: "day-month-year", shift: "-95 s", year: 2026 },
    column: [
      { channel: "outdoor.1.mode", header: "State", words: { C: "cooling", H: "heating" } },
      { channel: "outdoor.1.suction_temperature", factor: 0.1, header: 'T "s"', note: "tenths", sentinels: [6553.5, -1], unit: "degC" },
      { channel: "site.outdoor_temperature", file: "Outdoor.csv", header: "Value", unit: "degC" },
    ],
    file: { delimiter: ";", header_line: 4 },
    ignore: ["RECORD"],
    sentinels: [-999],
    shape: { hold: "2 h" },
  };
  const text = mapText(draftOf(map));
  assert.equal(
    text,
    'ignore = ["RECORD"]\nbarometer = "98.2 kPa"\nsentinels = [-999]\n\n[file]\ndelimiter = ";"\nheader_line = 4\n' +
      '\n[clock]\ncolumn = ["Date", "Time"]\norder = "day-month-year"\nshift = "-95 s"\nyear = 2026\n\n[shape]\nhold = "2 h"\n' +
      '\n[[column]]\nheader = "State"\nchannel = "outdoor.1.mode"\nwords = { "C" = "cooling", "H" = "heating" }\n' +
      '\n[[column]]\nheader = "T \\"s\\""\nchannel = "outdoor.1.suction_temperature"\nunit = "degC"\nfactor = 0.1\nnote = "tenths"\nsentinels = [6553.5, -1]\n' +
      '\n[[column]]\nheader = "Value"\nfile = "Outdoor.csv"\nchannel = "site.outdoor_temperature"\nunit = "degC"\n',
  );
  const changed = withClock(withColumn(draftOf(map), columnKey("State"), { channel: "outdoor.2.mode" }), "shift", "");
  assert.ok(mapText(changed).includes("outdoor.2.mode") && mapText(changed).includes("words") && !mapText(changed).includes("shift"));
  assert.equal(mapText(draftOf({})), "");
  const odd: MapTable = { sentinels: [{ not_finite: "nan" }, { not_finite: "-inf" }, -999] };
  assert.equal(mapText(draftOf(odd)), "sentinels = [nan, -inf, -999]\n", "what JSON has no number for");
});

const survey = (file: string, first: string, last: string, columns: string[], proposals: SurveyFile["proposals"] = []) =>
  ({ file, first, last, columns: columns.map((header) => ({ header, role: "number" })), proposals }) as unknown as SurveyFile;

test("a header that two files have at the same time is another column in each, one that goes on is the same", () => {
  const day = (n: number) => [`2026-01-0${n}T00:00:00`, `2026-01-0${n}T23:59:00`] as const;
  const signals = [survey("a.csv", ...day(1), ["Value"]), survey("b.csv", ...day(1), ["Value"])];
  assert.equal(keysOf(signals)("b.csv", "Value"), columnKey("Value", "b.csv"));
  const days = [survey("a.csv", ...day(1), ["Td"]), survey("b.csv", ...day(2), ["Td"])];
  assert.equal(keysOf(days)("b.csv", "Td"), "Td");
  // A clock that is not decided yet says nothing of the time: each file may be a signal of its own.
  const [from, to] = day(1);
  for (const [first, last] of [["", ""], ["", to], [from, ""]] as const) {
    const undecided = [survey("a.csv", from, to, ["Value"]), survey("b.csv", first, last, ["Value"])];
    assert.equal(keysOf(undecided)("b.csv", "Value"), columnKey("Value", "b.csv"));
    assert.equal(keysOf([...undecided].reverse())("a.csv", "Value"), columnKey("Value", "a.csv"));
  }
  const draft = withColumn(withColumn(emptyDraft, columnKey("Value", "a.csv"), { channel: "outdoor.1.x" }), columnKey("Value", "b.csv"), { channel: "" });
  const text = 'ignore = [{ header = "Value", file = "b.csv" }]\n\n[[column]]\nheader = "Value"\nfile = "a.csv"\nchannel = "outdoor.1.x"\n';
  assert.equal(mapText(draft), text, "one of two with equal headers is left out");
  const map = { ignore: [{ header: "Value", file: "b.csv" }, "RECORD"], column: [{ header: "Value", file: "a.csv", channel: "outdoor.1.x" }] };
  assert.equal(mapText(draftOf(map)), text.replace("]\n", ', "RECORD"]\n'), "and stays so when the map is read again");
});

test("one channel is proposed for one column only", () => {
  const twice = survey("a.csv", "2026-01-01T00:00:00", "2026-01-02T00:00:00", ["a", "b"], [
    proposal("channel", "a", 'channel = "outdoor.1.x"', 0.95),
    proposal("channel", "b", 'channel = "outdoor.1.x"', 0.9),
  ]);
  assert.equal(Object.keys(likely([twice], 0.75).columns).length, 1);
});

test("what open judgements lack is named, what most wait for first", () => {
  const open = (...missing: string[]) => check({ verdict: "unproven", missing });
  const checks = [
    open("outdoor.1.discharge_pressure", "outdoor.1.liquid_temperature"),
    open("outdoor.2.discharge_pressure"),
    open("site.outdoor_temperature", "call"),
    open(),
    check({ verdict: "ok" }),
  ];
  const found = wanting(checks, [{ name: "discharge_pressure", label: "pressure at the discharge" }]);
  assert.deepEqual(found, [
    { label: "pressure at the discharge", places: ["outdoor module 1", "outdoor module 2"], checks: 2 },
    { label: "liquid temperature", places: ["outdoor module 1"], checks: 1 },
    { label: "outdoor temperature", places: [], checks: 1 },
    { label: "call", places: [], checks: 1 },
  ]);
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
  const evidence = { verdict: "fault", start: "2026-01-20T10:00:00Z", end: "2026-01-20T14:00:00Z", value: 1, limit: 2, unit: "K", dimension: "temperature_difference", held_seconds: 1 } as const;
  const scene = sceneOf(check({ evidence: [evidence] }), Date.UTC(2026, 0, 20, 9, 30), Date.UTC(2026, 0, 21));
  assert.equal(scene?.from, Date.UTC(2026, 0, 20, 9, 30));
  assert.equal(scene?.to, Date.UTC(2026, 0, 20, 15));
  assert.equal(sceneOf(check({}), 0, 1), null);
});

test("a limit stands on the scale of its channel, that of a difference of temperatures does not", () => {
  const channels = [
    { name: "indoor.1.controlled_temperature", dimension: "temperature" },
    { name: "outdoor.1.discharge_temperature", dimension: "temperature" },
    { name: "outdoor.1.discharge_superheat", dimension: "temperature_difference" },
  ];
  const at = { verdict: "fault", start: "2026-01-20T10:00:00", end: "2026-01-20T14:00:00", value: 1, unit: "K", held_seconds: 1 } as const;
  const found = (channel: string, limit: number, dimension: string) => check({ channel, evidence: [{ ...at, limit, dimension }] });
  const verdict = { checks: [
    found("indoor.1.controlled_temperature", 2.8, "temperature_difference"),
    found("outdoor.1.discharge_temperature", 388.15, "temperature"),
    found("outdoor.1.discharge_superheat", 200, "temperature_difference"),
  ] } as unknown as VerdictJson;
  const said = shadesOf(verdict, undefined, channels, { text: (si, dimension) => `${si} ${dimension}` });
  assert.deepEqual(said.map((s) => s.limit), [null, 388.15, 200]);
  assert.equal(said[0]?.text, "limit 2.8 temperature_difference");
});

test("numbers get the chosen unit, texts that bring their own keep it", () => {
  assert.equal(withUnit({ text: " 4.15 ", unit: "MPa(g)" }), "4.15MPa(g)");
  assert.equal(withUnit({ text: "24, 26F", unit: "C" }, true), "24C,26F");
  assert.equal(withUnit({ text: "4,15", unit: "MPa(g)" }), "4.15MPa(g)", "keypads of many countries have a comma only");
  assert.equal(withUnit({ text: "−0,5 bar(g)", unit: "MPa(g)" }), "−0.5 bar(g)", "with a unit of its own, too");
  assert.equal(withUnit({ text: "4,15", unit: "MPa(g)" }, true), "4MPa(g),15MPa(g)", "two values where several are asked for");
  for (const no of ["4,15,2", "4,15.2"]) assert.notEqual(withUnit({ text: no, unit: "C" }), "4.15C", `${no} is left to be refused`);
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
