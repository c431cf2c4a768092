import assert from "node:assert/strict";
import { test } from "node:test";
import { fixed, fromShown, quantityText, setDimensions, toShown } from "../src/base/units.ts";
import { durationText, instantText, isoMs, timeTicks, wallTime } from "../src/base/time.ts";
import { addressText, parseAddress } from "../src/base/address.ts";

// NIST SP 811 (2008), B.8: 1 psi = 6894.757 Pa; t/°F = 1.8 T/K - 459.67.
const celsius = { symbol: "°C", scale: 1, offset: 273.15, digits: 1 };
const fahrenheit = { symbol: "°F", scale: 5 / 9, offset: 459.67 / 1.8, digits: 1 };
setDimensions({ temperature: { si: celsius, ip: fahrenheit } });

test("temperatures are shown in both systems and come back", () => {
  assert.equal(quantityText(373.15, "temperature", "si"), "100.0\u00a0°C");
  assert.equal(quantityText(373.15, "temperature", "ip"), "212.0\u00a0°F");
  assert.ok(Math.abs(fromShown(toShown(250.3, fahrenheit), fahrenheit) - 250.3) < 1e-9);
});

test("what is not known is a dash, and minus zero is zero", () => {
  assert.equal(quantityText(null, "temperature", "si"), "–");
  assert.equal(quantityText(Number.NaN, "temperature", "si"), "–");
  assert.equal(fixed(-0.04, 1), "0.0");
  assert.equal(fixed(-0.06, 1), "−0.1");
});

test("a text without an offset is read as UTC, as the contract says", () => {
  assert.equal(isoMs("2026-01-20T05:00:00"), Date.UTC(2026, 0, 20, 5));
  assert.equal(isoMs("2026-01-20T05:00:00-06:00"), Date.UTC(2026, 0, 20, 11));
});

test("the wall clock follows a zone through the change of the clocks", () => {
  // Europe/Berlin left summer time on 2026-10-25 at 01:00 UTC: Directive 2000/84/EC, last Sunday of October.
  const zone = { kind: "zone", zone: "Europe/Berlin" } as const;
  const change = Date.UTC(2026, 9, 25, 1);
  assert.equal(wallTime(change - 1000, zone) - (change - 1000), 2 * 3_600_000);
  assert.equal(wallTime(change, zone) - change, 3_600_000);
  assert.equal(instantText(change, zone), "2026-10-25 02:00");
});

test("ticks stand at round wall-clock times inside the stretch", () => {
  const clock = { kind: "offset", offset_minutes: -360 } as const;
  const from = Date.UTC(2026, 0, 20, 11, 7);
  const ticks = timeTicks(from, from + 6 * 3_600_000, 8, clock);
  assert.ok(ticks.length >= 4 && ticks.length <= 9);
  for (const t of ticks) {
    assert.ok(t.ms >= from && t.ms <= from + 6 * 3_600_000);
    assert.equal(wallTime(t.ms, clock) % 3_600_000, 0);
  }
  assert.equal(ticks[0]?.text, "06:00");
  assert.deepEqual(timeTicks(5, 5, 4, clock), []);
});

test("durations in words", () => {
  assert.equal(durationText(2250), "37 min 30 s");
  assert.equal(durationText(64620), "17 h 57 min");
  assert.equal(durationText(3599.7), "1 h 00 min");
});

test("an address is read back as it was written, and a strange one opens the recordings", () => {
  const address = { view: "time", ask: { r: "abc", ch: "outdoor.1.a,indoor.2.b", show: "check@outdoor.1", u: "ip" } } as const;
  assert.deepEqual(parseAddress(addressText({ view: "time", ask: { ...address.ask } })), address);
  assert.equal(parseAddress("#/no_such_view?x=1").view, "recordings");
  assert.equal(parseAddress("").view, "recordings");
});

test("long numbers stand in groups of three digits", () => {
  setDimensions({ power: { si: { symbol: "W", scale: 1, offset: 0, digits: 0 }, ip: { symbol: "Btu/h", scale: 0.29307107, offset: 0, digits: 0 } } });
  assert.equal(quantityText(67060, "power", "ip"), "228\u202f818\u00a0Btu/h");
  assert.equal(quantityText(-1234567, "power", "si"), "−1\u202f234\u202f567\u00a0W");
  assert.equal(quantityText(9999, "power", "si"), "9999\u00a0W");
});
