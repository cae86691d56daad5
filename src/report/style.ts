/**
 * The style sheet of every page: calm, dense, light and dark by the reader's setting, and printable. No quotes,
 * ampersands or angle brackets stand in it, so that it is the same escaped. Colours of data after M. Okabe and K. Ito,
 * "Color Universal Design" (2002), lightened or darkened for contrast.
 */
export const STYLE = `
:root { color-scheme: light dark;
  --paper: #fbfaf7; --sheet: #fff; --ink: #1d2326; --soft: #586269; --rule: #d9d8d2; --grid: #ebeae5;
  --good: #00684c; --bad: #b23a00; --remark: #7a5600; --broken: #8a2f6b; --untested: #586269;
  --truth: #8d979c; --module: #0067a3; --host: #c24e00; --fourth: #00795a; --fifth: #a8487f; --sixth: #8a6400;
  --fault: #d9a400; --fault-wash: #e8b80033; --limit: #1d2326; --link: #00588c; }
@media screen and (prefers-color-scheme: dark) { :root {
  --paper: #14181a; --sheet: #1b2023; --ink: #e4e7e6; --soft: #a3adb1; --rule: #384045; --grid: #282f33;
  --good: #4fd0a5; --bad: #ff9458; --remark: #f0c652; --broken: #eda3cd; --untested: #a3adb1;
  --truth: #87939a; --module: #62bdf2; --host: #ff9a4d; --fourth: #3fcfa0; --fifth: #e79ac4; --sixth: #e0bf3e;
  --fault: #d9b23c; --fault-wash: #e8b8002b; --limit: #e4e7e6; --link: #7fc6f2; } }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 15px/1.45 system-ui, sans-serif;
  -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
main { max-width: 1240px; margin: 0 auto; padding: 4px 16px 48px; }
.caution { text-wrap: balance; padding: 8px 16px; border-bottom: 3px double var(--bad); color: var(--bad);
  font-weight: 600; font-size: 13px; text-align: center; }
h1 { font-size: 26px; line-height: 1.2; margin: 20px 0 4px; overflow-wrap: anywhere; text-wrap: balance; }
h2 { font-size: 19px; margin: 34px 0 8px; padding-bottom: 3px; border-bottom: 1px solid var(--rule); }
h3 { font-size: 15px; margin: 18px 0 6px; }
p { margin: 6px 0; overflow-wrap: anywhere; }
a { color: var(--link); overflow-wrap: anywhere; }
.soft, .note { color: var(--soft); font-size: 13px; }
code, pre, td.code { font: 12.5px/1.5 ui-monospace, Menlo, Consolas, monospace; }
pre { white-space: pre-wrap; overflow-wrap: anywhere; margin: 6px 0; padding: 8px 10px; background: var(--grid);
  border-radius: 4px; }
.table { overflow-x: auto; margin: 8px 0; }
table { border-collapse: collapse; font-size: 14px; }
caption { text-align: left; color: var(--soft); font-size: 13px; padding-bottom: 4px; }
th, td { text-align: left; vertical-align: top; padding: 3px 14px 3px 0; border-bottom: 1px solid var(--grid); }
th { color: var(--soft); font-weight: 600; font-size: 12.5px; border-bottom-color: var(--rule); white-space: nowrap; }
th.figure, td.figure { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
td.code { overflow-wrap: anywhere; min-width: 18em; } td.long { min-width: 15em; overflow-wrap: anywhere; }
tbody tr:hover td { background: var(--grid); }
.facts { display: flex; flex-wrap: wrap; gap: 4px 26px; margin: 8px 0; }
.facts dt { color: var(--soft); font-size: 12.5px; }
.facts dd { margin: 0; font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }
.verdict { display: inline-flex; align-items: baseline; gap: 5px; font-weight: 600; white-space: nowrap; }
.verdict svg { position: relative; top: 3px; width: 16px; height: 16px; flex: none; border-radius: 3px;
  border: 1.5px solid currentColor; }
.verdict path { fill: none; stroke: currentColor; stroke-width: 2.2; stroke-linecap: round; stroke-linejoin: round; }
.verdict.good { color: var(--good); } .verdict.bad { color: var(--bad); } .verdict.remark { color: var(--remark); }
.verdict.broken { color: var(--broken); } .verdict.untested { color: var(--untested); }
.verdict.bad svg, .verdict.broken svg { background: currentColor; }
.verdict.bad path, .verdict.broken path { stroke: var(--sheet); }
.verdict.remark svg { border-radius: 50%; } .verdict.untested svg { border-style: dashed; }
.drawings { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 400px), 1fr)); gap: 10px 28px;
  align-items: start; }
.drawing { margin: 8px 0; max-width: 620px; }
.drawing figcaption { font-weight: 600; font-size: 14px; }
.drawing svg[role=img] { display: block; width: 100%; height: auto; overflow: visible; }
.legend { list-style: none; display: flex; flex-wrap: wrap; gap: 0 16px; margin: 2px 0 4px; padding: 0;
  font-size: 12.5px; color: var(--soft); }
.legend li { display: inline-flex; align-items: center; gap: 5px; }
.swatch { width: 24px; height: 12px; flex: none; }
svg text { font: 12px system-ui, sans-serif; fill: var(--ink); font-variant-numeric: tabular-nums; }
.axis path { stroke: var(--soft); fill: none; stroke-width: 1; }
.axis path.grid, .grid { stroke: var(--grid); fill: none; stroke-width: 1; }
.axis text { fill: var(--soft); }
.line { fill: none; stroke-width: 1.6; stroke-linejoin: round; stroke-linecap: round; }
.line.truth { stroke: var(--truth); stroke-width: 4; opacity: .55; } .line.module { stroke: var(--module); }
.line.host { stroke: var(--host); } .line.fourth { stroke: var(--fourth); stroke-dasharray: 6 3; }
.line.fifth { stroke: var(--fifth); stroke-dasharray: 2 3; } .line.sixth { stroke: var(--sixth);
  stroke-dasharray: 8 3 2 3; }
.line.limit { stroke: var(--limit); stroke-width: 1.2; stroke-dasharray: 5 4; }
.line.fault { stroke: var(--fault); stroke-width: 9; opacity: .5; }
.point { stroke: none; } .point.truth { fill: var(--truth); } .point.module { fill: var(--module); }
.point.host { fill: var(--host); } .point.fourth { fill: var(--fourth); } .point.fifth { fill: var(--fifth); }
.point.sixth { fill: var(--sixth); }
.point.moment { fill: none; stroke: var(--bad); stroke-width: 2; stroke-linecap: round; }
.dots { fill: none; stroke-width: 3.6; stroke-linecap: round; } .dots.host { stroke: var(--host); }
.dots.module { stroke: var(--module); } .faint .dots { opacity: .45; }
.whisker { fill: none; stroke-width: 1.2; opacity: .6; } .whisker.module { stroke: var(--module); }
.whisker.host { stroke: var(--host); } .whisker.fourth { stroke: var(--fourth); }
  .whisker.truth { stroke: var(--truth); }
.whisker.fifth { stroke: var(--fifth); } .whisker.sixth { stroke: var(--sixth); }
.band.fault { fill: var(--fault-wash); stroke: none; }
.strip { fill: var(--fault); } .halo { paint-order: stroke; stroke: var(--paper); stroke-width: 3px; }
.circle { fill: none; stroke: var(--ink); stroke-width: 1.2; } .circle.wide { stroke-dasharray: 5 4; }
.cross { stroke: var(--bad); stroke-width: 1.6; fill: none; } .scale { stroke: var(--ink); stroke-width: 2;
  fill: none; }
.bar { fill: var(--module); } .edge { fill: var(--host); }
.sky { fill: var(--sheet); stroke: var(--rule); } .satellite { stroke: var(--ink); stroke-width: .8; }
.satellite.used { stroke-width: 2.2; } .cn0-none { fill: none; stroke-dasharray: 2 2; }
.cn0-0 { fill: #fff3b8; } .cn0-1 { fill: #f2c14a; } .cn0-2 { fill: #e0822e; } .cn0-3 { fill: #9d4a6a; }
  .cn0-4 { fill: #3b3a83; }
details.case { border: 1px solid var(--rule); border-radius: 5px; background: var(--sheet); margin: 8px 0;
  padding: 0 14px; }
details.case .halo { stroke: var(--sheet); }
details.case[open] { padding-bottom: 12px; }
summary { cursor: pointer; padding: 8px 0; display: flex; flex-wrap: wrap; gap: 2px 14px; align-items: baseline; }
summary .name { font-weight: 600; overflow-wrap: anywhere; } summary .soft { margin-left: auto; }
.expectation { border-left: 3px solid var(--rule); padding-left: 12px; margin: 12px 0; }
.expectation.failed { border-color: var(--bad); } .expectation.untested { border-color: var(--untested); }
.expectation h4 { margin: 0; font-size: 14px; display: flex; flex-wrap: wrap; gap: 0 12px; }
ol.stream { list-style: none; margin: 4px 0 10px; padding: 0;
  font: 12.5px/1.5 ui-monospace, Menlo, Consolas, monospace; }
ol.stream li { display: grid; grid-template-columns: 82px minmax(0, 1fr); gap: 10px;
  border-bottom: 1px solid var(--grid); }
ol.stream time { color: var(--soft); text-align: right; white-space: nowrap; }
  ol.stream span { overflow-wrap: anywhere; }
ol.stream .damaged span { color: var(--bad); } ol.stream .moment { color: var(--bad); font-weight: 600; }
ol.stream em { font-style: normal; color: var(--soft); } ol.stream .damaged em { color: var(--bad); font-weight: 600;
  }
ul.items { list-style: none; padding: 0; margin: 8px 0; }
ul.items li { display: grid; grid-template-columns: 96px 190px minmax(0, 1fr); gap: 2px 14px; padding: 4px 0;
  border-bottom: 1px solid var(--grid); }
@media (max-width: 700px) {
  main { padding: 4px 12px 32px; } h1 { font-size: 22px; } svg text { font-size: 15px; }
  ul.items li { grid-template-columns: 96px minmax(0, 1fr); } ul.items li p { grid-column: 1 / -1; }
  details.case { padding: 0 10px; } ol.stream li { grid-template-columns: 72px minmax(0, 1fr); }
  .caution { text-align: left; padding: 8px 12px; }
}
@media print {
  :root { color-scheme: light; --paper: #fff; --sheet: #fff; } body { font-size: 10.5pt; } main { max-width: none;
  padding: 0; }
  .drawing, tr, .expectation h4, figcaption { break-inside: avoid; } .drawings { grid-template-columns: 1fr 1fr; }
  h2, h3, summary { break-after: avoid; } .table { overflow: visible; } tbody tr:hover td { background: none; }
}
`;
