#include "stations/catalogue.h"

#include <stdexcept>

#include "stations/catalogue_text.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;

Station true_tdc() {
  return {"tdc",
          "True TDC",
          "Where the wheel stands when the piston of cylinder 1 is truly at the top. Every cam reading is "
          "counted from it.",
          {
              "Take the plugs out. Fix the wheel so that it cannot slip on the crank, and a stiff pointer "
              "close to its marks. "
              "Do not bother to set it to nought: wherever it stands will do.",
              "Fit the stop so that it holds the piston well short of the top, at least 15 to 20 degrees to "
              "each side. "
              "Nearer the top the piston hardly moves, and a touch tells little.",
              "Turn forward by hand until the piston just touches. Read the wheel with the eye square to the "
              "pointer.",
              "Turn backward, nearly a full turn, until it touches from the other side. Read again.",
              "Take both once more without moving anything. The two spans should agree within a quarter of a "
              "degree: "
              "if the span changed, the stop gave way or something else was touched; if the span is the same "
              "and its "
              "middle moved, the wheel or the pointer slipped.",
              "After the last cam reading come back and take the stop again as pass 2. If TDC has moved, "
              "none of the readings in between count.",
          },
          {
              "Against a stop the crank is turned by hand, slowly, with the plugs out. Never with the "
              "starter, never with a "
              "long bar: a piston crown or a rod bends before you feel it.",
              "With the head on, see that no valve can reach the stop or the piston before you turn.",
              "Keep fingers out of the bore and away from the wheel's edge while somebody else turns. Take "
              "the stop out before anything else.",
              makers_sheet,
          },
          {ReadingKind::stop_contact, ReadingKind::tdc_drop, ReadingKind::tdc_sweep},
          {"tdc.wheel"}};
}

Station cam_timing() {
  return {
      "cam",
      "Cam timing",
      "Whether the cam stands where its card says it should, on every lobe that matters, and what to change "
      "if it does not.",
      {
          "Find true TDC first, and leave wheel and pointer alone from then on.",
          "Use a solid or checking lifter: a hydraulic one leaks down while you read. Stand the indicator in "
          "line with "
          "the lifter's travel; a tilted one reads short.",
          "Set the indicator to nought on the base circle, half a cam turn from the lobe, and see that it "
          "comes "
          "back to nought after each round.",
          "Turn in running direction only. If you go past a mark, back up until the lift has changed by "
          "about 0.100 in, "
          "then come up to it again, so that the slack lies on its usual side.",
          "Read the wheel where the lift passes 0.050 in opening and again closing, on intake and exhaust; "
          "0.006, 0.020, 0.100 "
          "and 0.200 in beside it tell the lobe's shape. Do not look for the top itself: it stands still "
          "over several degrees.",
          "Or read the same drop either side of the top, 0.020 or 0.050 in. Midway between the two is the "
          "centre.",
          "Read at least one more cylinder, best one far away along the cam. One cylinder cannot tell a cam "
          "set wrong from a lobe ground wrong.",
          "Enter what the wheel shows, with BTDC, ATDC, BBDC or ABDC if it is marked so. No signs, no sums.",
      },
      {
          "Turn by hand with the plugs out. With the cam out of place a valve can meet a piston: if it goes "
          "tight, stop and find out why.",
          "A compressed spring is loaded like a trap. Check with light springs, or keep face and fingers out "
          "of the line of the retainer.",
          "Keep fingers clear of lobes, chain and gears while somebody turns.",
          "After the cam has been moved, every reading of it is void. Turn two full turns by hand before the "
          "plugs go back in.",
          makers_sheet,
      },
      {ReadingKind::lobe_point, ReadingKind::lobe_top, ReadingKind::lobe_sweep, ReadingKind::chain_slack},
      {"cam.phase_error", "cam.intake_centerline"}};
}

}  // namespace

std::span<const Station> stations() {
  static const std::vector<Station> all{
      bores_text(),       bottom_end_text(),   fasteners_text(), balance_text(),  deck_text(),
      compression_text(), true_tdc(),          cam_timing(),     springs_text(),  rockers_text(),
      valve_train_text(), piston_valve_text(), lash_text(),      followers_text()};
  return all;
}

std::string_view word(FieldType type) {
  switch (type) {
    case FieldType::wheel:
      return "wheel";
    case FieldType::wheel_list:
      return "wheel_list";
    case FieldType::angle:
      return "angle";
    case FieldType::length:
      return "length";
    case FieldType::cylinder:
      return "cylinder";
    case FieldType::choice:
      return "choice";
    case FieldType::tool:
      return "tool";
    case FieldType::position:
      return "position";
    case FieldType::count:
      return "count";
    case FieldType::text:
      return "text";
    case FieldType::points:
      return "points";
    case FieldType::force:
      return "force";
    case FieldType::number:
      return "number";
    case FieldType::measure_list:
      return "measure_list";
    case FieldType::volume:
      return "volume";
    case FieldType::mass:
      return "mass";
    case FieldType::pressure:
      return "pressure";
    case FieldType::torque:
      return "torque";
    case FieldType::temperature:
      return "temperature";
  }
  throw std::invalid_argument("word: no such type of field");
}

}  // namespace fettle::stations
