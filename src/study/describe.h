#pragma once

#include "build/names.h"
#include "study/study.h"

/// The shape of the study document, said once for reader and schema (build/describe.h).
namespace fettle::study {

std::span<const build::Named<Drawing>> names(Drawing);
std::span<const build::Named<Spread>> names(Spread);
std::span<const build::Named<Meaning>> names(Meaning);
std::span<const build::Named<PullFigure>> names(PullFigure);

template <class V>
void describe(V& v, Varied& x) {
  v.required("path", x.path, "JSON Pointer to a number that the build states", "/gasket/thickness");
  v.optional("name", x.name, "what it is called in the results; left out: its path", "gasket");
  v.optional("list", x.list, "the values it takes", R"(["0.028 in","0.041 in"])");
  v.optional("from", x.from, "least value", "0.028 in");
  v.optional("to", x.to, "greatest value", "0.051 in");
  v.optional("steps", x.steps, "grid: how many values from the least to the greatest, both with them", "5");
  v.optional("tolerance", x.tolerance, "by how much it may be off either way of the middle", "0.001 in");
  v.optional("sd", x.sd, "standard deviation about the middle, normally spread", "0.0004 in");
  v.optional("middle", x.middle, "middle of the tolerance; left out: what the build says", "0.040 in");
  v.optional("spread", x.spread, "within its bounds; left out: rectangular", "triangular");
  v.optional("meaning", x.meaning,
             "doubted: it was so all along; changed: after the readings were taken; left out: doubted with a "
             "tolerance or sd, else changed",
             "changed");
}

template <class V>
void describe(V& v, WantedFinding& x) {
  v.required("finding", x.finding, "a station, or the id of one finding", "compression.static_ratio");
  v.optional("cylinder", x.cylinder, "only of this cylinder", "1");
  v.optional("valve", x.valve, "only of this valve", "intake");
  v.optional("main", x.main, "only of this main bearing", "1");
  v.optional("part", x.part, "only of this set of fasteners or kind of part", "rod bolts");
}

template <class V>
void describe(V& v, WantedPull& x) {
  v.required("from", x.from, "lowest speed", "2500 rpm");
  v.required("to", x.to, "highest speed", "5500 rpm");
  v.optional("step", x.step, "between speeds; left out: 500 rpm", "500 rpm");
  v.optional("figures", x.figures, "what is wanted of it; left out: all", R"(["mean_torque"])");
}

template <class V>
void describe(V& v, Study& x) {
  v.required("study", x.study, "version of the format: 1", "1");
  v.required("name", x.name, "what the study is called", "Parts anywhere in their prints");
  v.required("build", x.build, "path of the build, from the study's own folder; or the build itself",
             "../invented-v8.json");
  v.required("draw", x.draw, "how the numbers are come by", "random");
  v.optional("count", x.count, "draws; a grid has none", "100000");
  v.optional("seed", x.seed, "of the random numbers; left out: 1", "7");
  v.optional("readings", x.readings, "true to draw the readings within their doubt too; left out: false",
             "true");
  v.optional("indices", x.indices,
             "sobol: true for shares by variance, alone and in all; count is then of sets of draws", "true");
  v.optional("vary", x.vary, "numbers of the build that vary",
             R"([{ "path": "/gasket/thickness", "tolerance": "0.001 in" }])");
  v.optional("findings", x.findings, "findings wanted; left out without a pull: all but those at speed",
             R"([{ "finding": "compression.static_ratio" }])");
  v.optional("pull", x.pull, "what is wanted of a pull; each draw runs one",
             R"({ "from": "2500 rpm", "to": "5500 rpm" })");
}

}  // namespace fettle::study
