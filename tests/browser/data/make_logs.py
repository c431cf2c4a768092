#!/usr/bin/env python3
"""Makes the small invented logs of the browser tests, the same bytes every time.

roof_log.csv     a small machine in heating, headers of the program's own form; liquid in the compressor from 09:00 on
plain_words.csv  the same readings under headers in plain English, which a person has to confirm
No such machine exists; nothing in these files was measured.
"""
import math
import pathlib

HERE = pathlib.Path(__file__).parent
MINUTES = 300
OWN = [
    "time", "site.outdoor_temperature [degC]", "outdoor.1.compressor_frequency [Hz]",
    "outdoor.1.discharge_pressure [kPa(g)]", "outdoor.1.suction_pressure [kPa(g)]",
    "outdoor.1.discharge_temperature [degC]", "outdoor.1.suction_temperature [degC]",
    "outdoor.1.shell_temperature [degC]", "outdoor.1.coil_temperature [degC]",
    "indoor.1.gas_pipe_temperature [degC]", "indoor.1.controlled_temperature [degC]",
    "indoor.1.set_point [degC]", "indoor.1.call", "indoor.1.unit_on",
    "indoor.2.gas_pipe_temperature [degC]", "indoor.2.controlled_temperature [degC]",
    "indoor.2.set_point [degC]", "indoor.2.call", "indoor.2.unit_on",
]
PLAIN = [
    "Time", "Outdoor temperature (°C)", "Compressor frequency (Hz)", "Discharge pressure (kPa(g))",
    "Suction pressure (kPa(g))", "Discharge temperature (°C)", "Suction temperature (°C)",
    "Shell temperature (°C)", "Outdoor coil temperature (°C)", "Room A pipe (°C)", "Room A (°C)",
    "Set point A (°C)", "Call A", "On A", "Room B pipe (°C)", "Room B (°C)", "Set point B (°C)", "Call B", "On B",
]


def row(minute):
    """One reading: off for 20 min, warming up for 20 min, then steady; wet from 180 to 230 min."""
    run = minute >= 20
    up = min(1.0, max(0.0, (minute - 20) / 20)) if run else 0.0
    ripple = 0.3 * math.sin(minute / 7)
    wet = 180 <= minute < 230
    outdoor = -4.0 + 0.8 * math.sin(minute / 90)
    high = 1100 + up * 1780 + 12 * ripple
    low = (1100 if not run else 900 - up * 360) + 4 * ripple
    discharge = 5 + up * (50.5 if wet else 74.0) + ripple
    suction = -2 + ripple if not run else -12.0 + (-2.4 if wet else 2.5) + ripple
    shell = 5 + up * (46 if wet else 62) + ripple
    coil = outdoor - 7.5 * up + ripple
    one = 18.0 + 3.0 * min(1.0, max(0, minute - 25) / 60) + 0.1 * ripple
    two = 18.0 + 0.2 * up + 0.1 * ripple
    numbers = [
        (outdoor, 1), (62 * up, 0), (high, 0), (low, 0), (discharge, 1), (suction, 1), (shell, 1), (coil, 1),
        (18 + 38 * up + ripple, 1), (one, 1), (21, 1), (1, 0), (1, 0),
        (18 + 35 * up + ripple, 1), (two, 1), (22, 1), (1, 0), (1, 0),
    ]
    stamp = f"2026-01-14T{6 + minute // 60:02d}:{minute % 60:02d}:00"
    return ",".join([stamp] + [f"{value:.{digits}f}" for value, digits in numbers])


def main():
    rows = [row(minute) for minute in range(MINUTES)]
    (HERE / "roof_log.csv").write_text("\n".join([",".join(OWN)] + rows) + "\n", encoding="utf-8")
    (HERE / "plain_words.csv").write_text("\n".join([",".join(PLAIN)] + rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
