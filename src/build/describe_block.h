#pragma once

#include "build/block_parts.h"

/// The part of describe.h for block_parts.h.
namespace fettle::build {

template <class V>
void describe(V& v, Chamber& x) {
  v.optional("volume", x.volume, "of one chamber in the head, as the maker has it", "64 cc");
  v.optional("area", x.area, "open at the head's face: what milling takes off for each depth", "8200 mm2");
  v.optional("milled", x.milled, "taken off the head's face in all; left out: nothing", "0.010 in");
}

template <class V>
void describe(V& v, Crowns& x) {
  v.optional("compression_height", x.compression_height, "pin's centre to the flat of the crown", "1.540 in");
  v.optional("dish", x.dish,
             "net volume of dish and valve notches less dome, as the maker has it; negative: a dome; 0: flat",
             "5.0 cc");
  v.optional("deepened", x.deepened, "cut out of each crown in all; left out: nothing", "2.0 cc");
  v.optional("land_diameter", x.land_diameter, "of the land above the top ring", "3.965 in");
  v.optional("land_height", x.land_height, "top ring to the crown", "0.250 in");
}

template <class V>
void describe(V& v, Deck& x) {
  v.optional("height", x.height, "crank's axis to the deck, before anything was cut off it", "9.025 in");
  v.optional("cut", x.cut, "taken off the deck in all; left out: nothing", "0.005 in");
}

template <class V>
void describe(V& v, CompressionPlan& x) {
  v.optional("wanted_ratio", x.wanted_ratio, "static ratio wanted", "9.6");
  v.optional("barometer", x.barometer,
             "pressure of the air at the bench, absolute; it wins over the altitude", "1003 hPa");
  v.optional("altitude", x.altitude, "above the sea; left out: none", "1200 ft");
  v.optional("air", x.air, "temperature of the air drawn in; left out: 20 C", "20 C");
  v.optional("cranking_speed", x.cranking_speed, "by the starter; left out: 200 rpm", "200 rpm");
  v.optional("exponent", x.exponent, "polytropic exponent while cranking; left out: 1.30", "1.30");
  v.optional("leak", x.leak, "effective area of all leaks of one cylinder; left out: none", "0.2 mm2");
}

template <class V>
void describe(V& v, Fastener& x) {
  v.optional("use", x.use, "what it holds; left out: other", "rod");
  v.required("diameter", x.diameter, "nominal, of the thread", "0.4375 in");
  v.required("pitch", x.pitch, "of the thread: 0.0500 in is 20 threads an inch", "0.0500 in");
  v.optional("thread", x.thread, "form of the thread; left out: unified", "unified");
  v.optional("shank_diameter", x.shank_diameter, "of the shank or waist; left out: the nominal diameter",
             "0.390 in");
  v.optional("shank_length", x.shank_length, "length of the shank under tension", "1.100 in");
  v.optional("thread_length", x.thread_length, "length of thread under tension, in the grip", "0.400 in");
  v.optional("grade", x.grade, "property class: 5 and 8 (SAE J429), 8.8, 10.9 and 12.9 (ISO 898-1)",
             "\"10.9\"");
  v.optional("proof_strength", x.proof_strength, "where it is of no such class", "170 ksi");
  v.optional("yield_strength", x.yield_strength, "where it is of no such class", "190 ksi");
  v.optional("modulus", x.modulus, "of elasticity; left out: 207 GPa", "207 GPa");
  v.optional("finish", x.finish, "state of thread and face when tightened; left out: lubricated",
             "lubricated");
  v.optional("nut_factor", x.nut_factor, "torque over preload and diameter; it wins over the finish", "0.17");
  v.optional("count", x.count, "how many there are in the set", "16");
  v.optional("stretch_least", x.stretch_least, "least stretch that its maker accepts", "0.0060 in");
  v.optional("stretch_most", x.stretch_most, "greatest stretch that its maker accepts", "0.0065 in");
}

template <class V>
void describe(V& v, TakenOff& x) {
  v.required("item", x.item, "piston, big_end or small_end", "piston");
  v.required("number", x.number, "marked on the piston or the rod", "1");
  v.required("amount", x.amount, "taken off it since it was first weighed", "1.5 g");
}

template <class V>
void describe(V& v, SpareMetal& x) {
  v.required("item", x.item, "piston, big_end or small_end", "piston");
  v.required("most", x.most, "that may be taken off one of them in all", "5 g");
}

template <class V>
void describe(V& v, Balance& x) {
  v.optional("factor", x.factor, "balance factor of the counterweights; left out: 0.5 for a V8 of 90 degrees",
             "0.5");
  v.optional("factor_of", x.factor_of, "what it is a part of; left out: reciprocating", "reciprocating");
  v.optional("oil", x.oil, "allowance for oil on one crank pin; left out: 5 g", "5 g");
  v.optional("rods_a_pin", x.rods_a_pin, "rods on one crank pin; left out: 2 in a V, else 1", "2");
  v.optional("crank_bobweight", x.crank_bobweight, "bobweight that the crank was balanced to", "1850 g");
  v.optional("bore_spacing", x.bore_spacing, "between neighbouring bores of a bank, along the crank",
             "4.400 in");
  v.optional("bank_stagger", x.bank_stagger, "by how much the second bank stands behind the first",
             "0.940 in");
  v.optional("speed", x.speed, "at which shaking forces are told; left out: rods.redline", "6000 rpm");
  v.optional("taken_off", x.taken_off, "metal taken off pistons and rods since they were first weighed",
             R"([{ "item": "piston", "number": 3, "amount": "1.5 g" }])");
  v.optional("spare", x.spare,
             "what may be taken off one piston or one end of a rod in all; left out: 5 g of each",
             R"([{ "item": "piston", "most": "4 g" }])");
}

}  // namespace fettle::build
