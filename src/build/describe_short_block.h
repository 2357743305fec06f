#pragma once

#include "build/short_block.h"

/// The part of describe.h for bearings and bores.
namespace fettle::build {

template <class V>
void describe(V& v, ShellStock& x) {
  v.required("change", x.change,
             "what a whole pair of this size does to the oil clearance against the standard one, positive "
             "where it opens",
             "-0.001 in");
  v.optional("count", x.count, "pairs in hand, those fitted now among them; left out: as many as wanted",
             "2");
}

template <class V>
void describe(V& v, FittedShells& x) {
  v.required("number", x.number, "main bearing from the front, or cylinder of the rod", "1");
  v.optional("upper", x.upper, "size of the half in block or rod; left out: standard", "-0.001 in");
  v.optional("lower", x.lower, "size of the half in the cap; left out: standard", "0 in");
}

template <class V>
void describe(V& v, BearingSet& x) {
  v.optional("journal", x.journal, "greatest diameter of a new journal", "2.4485 in");
  v.optional("width", x.width, "width of the shell's running surface, along the journal", "0.80 in");
  v.optional("load", x.load, "steady load of one bearing for which the oil film is worked out", "9 kN");
  v.optional("shells", x.shells, "sizes of shells to be had",
             R"([{ "change": "0 in" }, { "change": "-0.001 in", "count": 2 }])");
  v.optional("fitted", x.fitted, "halves in place now, where they are not both standard",
             R"([{ "number": 3, "upper": "-0.001 in" }])");
}

template <class V>
void describe(V& v, Oil& x) {
  v.required("viscosity", x.viscosity, "dynamic, at the temperature of the film", "9 mPa s");
  v.required("speed", x.speed, "of the crank, for which the film is worked out", "6000 rpm");
}

template <class V>
void describe(V& v, Bearings& x) {
  v.optional("mains", x.mains, "how many main bearings the crank has", "5");
  v.optional("main", x.main, "main bearings", R"({ "journal": "2.4485 in" })");
  v.optional("rod", x.rod, "rod bearings", R"({ "journal": "2.1000 in" })");
  v.optional("oil", x.oil, "oil and speed for which the film is worked out",
             R"({ "viscosity": "9 mPa s", "speed": "6000 rpm" })");
}

template <class V>
void describe(V& v, RunningTemperatures& x) {
  v.required("bore", x.bore, "mean temperature of the bore's wall", "110 C");
  v.required("piston", x.piston, "mean temperature of the piston's skirt", "140 C");
}

template <class V>
void describe(V& v, HonedBore& x) {
  v.required("cylinder", x.cylinder, "cylinder's number", "1");
  v.required("amount", x.amount, "honed out since the bore was first read, on the diameter", "0.001 in");
}

template <class V>
void describe(V& v, Bores& x) {
  v.optional("material", x.material, "of the bores' walls; left out: iron", "iron");
  v.optional("piston_material", x.piston_material, "of the pistons; left out: aluminium", "aluminium");
  v.optional("pistons", x.pistons,
             "number marked on the piston in cylinder 1, 2 and so on; left out: 1, 2 and so on", "[1,2,3,4]");
  v.optional("honed", x.honed, "what has been honed out of the bores since they were first read",
             R"([{ "cylinder": 1, "amount": "0.001 in" }])");
  v.optional("running", x.running, "temperatures for which the piston's clearance is worked out",
             R"({ "bore": "110 C", "piston": "140 C" })");
}

}  // namespace fettle::build
