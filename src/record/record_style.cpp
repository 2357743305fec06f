#include "record/record_parts.h"

namespace fettle::record {

std::string_view record_style() {
  return R"(
:root { color-scheme: light; --ink: #1c2024; --faint: #5b6670; --line: #c9ced3; --ground: #fff; }
* { box-sizing: border-box; }
body { font: 10.5pt/1.4 system-ui, "Noto Sans", "DejaVu Sans", sans-serif; color: var(--ink); background: var(--ground);
  margin: 0 auto; max-width: 190mm; padding: 6mm; }
h1 { font-size: 20pt; margin: 0 0 1mm; }
h2 { font-size: 14pt; margin: 8mm 0 2mm; border-bottom: 0.6pt solid var(--ink); padding-bottom: 1mm; }
h3 { font-size: 11pt; margin: 4mm 0 1mm; }
p { margin: 1mm 0 2mm; }
.faint, .second { color: var(--faint); }
.second { font-size: 8.5pt; }
table { border-collapse: collapse; width: 100%; margin: 1mm 0 3mm; }
th, td { text-align: left; vertical-align: top; padding: 0.8mm 2mm 0.8mm 0; border-bottom: 0.4pt solid var(--line); }
th { font-weight: 600; }
td.number, th.number { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
ul.values { list-style: none; margin: 0 0 2mm; padding: 0; display: grid; gap: 0 4mm;
  grid-template-columns: repeat(auto-fill, minmax(58mm, 1fr)); }
ul.values li { border-bottom: 0.4pt solid var(--line); padding: 0.6mm 0; font-variant-numeric: tabular-nums;
  break-inside: avoid; }
.place { display: inline-block; min-width: 19mm; color: var(--faint); }
.verdict { font-weight: 600; white-space: nowrap; }
.verdict.fails, .verdict.too-close { border: 0.8pt solid currentColor; border-radius: 1mm; padding: 0 1mm; }
.caution { border: 0.8pt solid var(--ink); border-left-width: 3mm; padding: 1.5mm 3mm; margin: 2mm 0; break-inside: avoid; }
.facts td:first-child { width: 42mm; color: var(--faint); }
.digest { font-family: ui-monospace, "DejaVu Sans Mono", monospace; font-size: 8.5pt; overflow-wrap: anywhere; }
.points { font-size: 8pt; font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }
.signatures { display: flex; gap: 10mm; margin-top: 12mm; break-inside: avoid; }
.signatures span { flex: 1; border-top: 0.6pt solid var(--ink); padding-top: 1mm; color: var(--faint); }
section { break-inside: auto; }
tr { break-inside: avoid; }
h2, h3 { break-after: avoid; }
@media (max-width: 480px) { body { padding: 3mm; } ul.values { grid-template-columns: 1fr; } }
@page { margin: 14mm 12mm 16mm; @bottom-right { content: counter(page) " / " counter(pages); font-size: 8pt; color: #5b6670; } }
@media print { body { padding: 0; max-width: none; } .sheet { break-after: page; } }
)";
}

}  // namespace fettle::record
