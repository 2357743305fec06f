#pragma once

#include <string>
#include <string_view>

#include "quantity/angle.h"
#include "quantity/parse.h"
#include "quantity/result.h"

namespace fettle::quantity {

// Valve events as signed crank degrees with 0 at the cylinder's overlap TDC:
//
//     intake opening    IO = -(degrees BTDC)         opens after TDC: positive
//     intake closing    IC = 180 + (degrees ABDC)
//     exhaust opening   EO = -180 - (degrees BBDC)
//     exhaust closing   EC = +(degrees ATDC)         closes before TDC: negative
//
// so that duration = IC - IO or EC - EO, overlap = EC - IO, and intake centreline = (IO + IC) / 2.
enum class ValveEvent { intake_opening, intake_closing, exhaust_opening, exhaust_closing };

// "intake opening".
std::string_view name(ValveEvent event);

// Where the event may lie. Wide enough for a racing cam read at the seat and a mild one read at 0.200 in of
// lift, narrow enough to refuse an event typed for another one. Common practice, no source.
//     IO 100 BTDC to 75 ATDC, IC 40 BBDC to 120 ABDC, EO 100 BBDC to 40 ABDC, EC 75 BTDC to 100 ATDC
struct EventRange {
  CrankAngle earliest;
  CrankAngle latest;
};
EventRange allowed_range(ValveEvent event);

// Reads an event as a card or a degree wheel gives it, and refuses one outside its allowed range:
// - degrees before or after a dead centre: "14 BTDC", "14° BTDC", "38 deg ABDC", "BTDC 14", "14 before TDC",
//   "TDC"; 0 to 180 and without a sign, since "-14 BTDC" is written for both 14 BTDC and 14 ATDC;
// - a wheel reading from 0 to 360 ("346", "346 deg"), or a signed one ("-14", "+3 deg"), counted from
//   overlap TDC in the running direction and taken to the turn that fits the event. A number without a sign
//   that could as well be copied from a card, and would then mean another angle, is refused and both
//   readings are shown: "14" as an intake opening is 14 BTDC on a card and 14 ATDC on a wheel.
Result<CrankAngle, ParseError> parse_event(std::string_view text, ValveEvent event);

// "14.0 BTDC", with 0 to 6 decimals: from TDC for IO and EC, from BDC for IC and EO. parse_event reads it
// back. std::invalid_argument for an angle that is not finite.
std::string print_event(CrankAngle angle, ValveEvent event, int decimals = 1);

}  // namespace fettle::quantity
