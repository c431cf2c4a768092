#pragma once

#include <string_view>

namespace cw::detail {

/// The report's style sheet: readable in the sun, in the dark and on paper; every colour is doubled
/// by a word, a dash or a position.
inline constexpr std::string_view report_style = R"css(
:root{--ink:#16212b;--soft:#52606d;--line:#c9d1d9;--paper:#fff;--fault:#a3195b;--watch:#9a5b00;
--ok:#0b6e75;--unproven:#4a5568;--win:#f3d9e6}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 "Liberation Sans","DejaVu Sans",Arial,sans-serif}
main{max-width:860px;margin:0 auto;padding:24px}
h1{font-size:30px;margin:.1em 0 .4em}h2{font-size:19px;margin:1.5em 0 .5em;border-bottom:1px solid var(--line)}h3{font-size:16px;margin:1.3em 0 .3em}
p{margin:.4em 0}ul{margin:.4em 0;padding-left:1.2em}li{margin:.3em 0}
.k{color:var(--soft);margin:0}.s{color:var(--soft);font-size:13px}
.answers{border-left:5px solid var(--ink);padding-left:18px}
.answers h2{border:0;margin-top:.9em}
.v{display:inline-block;padding:0 .5em;border-radius:3px;border:2px solid;font-weight:700}
.v-fault{color:#fff;background:var(--fault);border-color:var(--fault)}
.v-watch{color:var(--watch);border-color:var(--watch)}
.v-ok{color:var(--ok);border-color:var(--ok)}
.v-unproven{color:var(--unproven);border-color:var(--unproven);border-style:dashed}
table{border-collapse:collapse;width:100%;font-size:14px}
th,td{text-align:left;vertical-align:top;padding:4px 8px 4px 0;border-bottom:1px solid var(--line)}
td:first-child{min-width:7.5em}
th{color:var(--soft);font-weight:600}.n{text-align:right;font-variant-numeric:tabular-nums}
table.checks th:nth-child(1){width:17%}table.checks th:nth-child(2){width:17%}table.checks th:nth-child(3){width:10%}
table.fit td{white-space:nowrap}table.small td:nth-child(2){white-space:nowrap}.keep{break-inside:avoid}.two{columns:2 18em}
table.small{font-size:12px}code{font:12px "DejaVu Sans Mono",monospace}
tr.ov td{font-weight:700}
table.causes td:first-child{min-width:4em}table.causes td:nth-child(5){width:30%}
td.n{white-space:nowrap}td.bar{width:70px;min-width:0}td.bar span{display:block;height:9px;margin-top:6px;background:var(--ink)}
figure{margin:1em 0;break-inside:avoid}figcaption{font-size:14px;margin-bottom:2px}
svg{width:100%;height:auto;display:block;font:10.5px "Liberation Sans","DejaVu Sans",Arial,sans-serif}
.tick{stroke:#e3e8ec;stroke-width:.7;fill:none}.ax{stroke:var(--ink);fill:none}
.at{text-anchor:middle;fill:var(--soft)}.av{text-anchor:end;fill:var(--soft)}.key{fill:var(--ink)}
.lim{stroke:var(--fault);stroke-dasharray:7 4;stroke-width:1.2;fill:none}.ll{text-anchor:end;fill:var(--fault)}
.win{fill:var(--win)}
.l0,.l1,.l2,.l3{fill:none;stroke-width:1.3;stroke-linejoin:round}
.l0{stroke:#123c69}.l1{stroke:#c1602a;stroke-dasharray:5 2}.l2{stroke:#3a7d44;stroke-dasharray:2 2}.l3{stroke:#6b4c9a}
.p-off{fill:#e5e7eb}.p-starting{fill:#e8c170}.p-heating{fill:#c9683f}.p-cooling{fill:#4f86b8}
.p-mixed{fill:#8a6fae}.p-defrost{fill:#1f3a5f}.p-recovering{fill:#9fb4c7}.p-unknown{fill:#fff;stroke:#9aa5b1;stroke-width:.5}
footer{margin-top:2em;border-top:3px solid var(--ink);font-size:13px}
@media (max-width:600px){main{padding:12px}h1{font-size:24px}table{font-size:13px}td.n{white-space:normal}}
@media print{@page{size:A4;margin:14mm 14mm 16mm;@bottom-right{content:counter(page) " / " counter(pages);font:9pt "Liberation Sans","DejaVu Sans",Arial,sans-serif;color:#52606d}}
body{font-size:10.5pt}main{max-width:none;padding:0}.page{break-before:page}table{font-size:9.5pt}table.small,table.small code{font-size:7.5pt}table.small td{padding:1px 6px 1px 0;line-height:1.25}p,ul,li{margin:.25em 0}h2{margin:1.1em 0 .35em}h1{margin:.1em 0 .2em}
*{-webkit-print-color-adjust:exact;print-color-adjust:exact}
tr,figure,li{break-inside:avoid}thead{display:table-header-group}h2,h3,h2+p,h3+p{break-after:avoid}
thead+tbody>tr:first-child{break-before:avoid}}
)css";

/// Behind report_style, which prints on A4.
constexpr std::string_view page_rule(bool letter) {
  return letter ? "@media print{@page{size:letter}}" : "";
}

}  // namespace cw::detail
