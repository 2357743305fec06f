#include <array>

#include "quantity/angle.h"
#include "stations/practice.h"

namespace fettle::stations {
namespace {

using build::Follower;
using build::LifterKind;
using build::Practice;
using build::Valve;

constexpr double inch = 0.0254;
constexpr double pound_force = 4.4482216152605;
constexpr double mark_offset = 0.040;  ///< of the mark's middle either way, inches
constexpr double mark_width = 0.080;   ///< inches

struct Band {
  std::optional<double> least, most;
};

/// One row a kind of engine; inches.
struct TopEndRow {
  Practice practice;
  const char* source;
  double intake_to_piston, exhaust_to_piston, radial;
  std::optional<double> between_valves;
  Band bind;
  double retainer;
  double height;  ///< ± about the wanted one
  Band preload;
};
constexpr std::array rows{
    TopEndRow{Practice::street_pushrod,
              "common practice, street pushrod",
              0.080,
              0.100,
              0.050,
              {},
              {0.060, 0.110},
              0.060,
              0.020,
              {0.020, 0.060}},
    TopEndRow{Practice::performance_pushrod,
              "common practice, performance pushrod",
              0.070,
              0.090,
              0.050,
              0.060,
              {0.050, 0.080},
              0.060,
              0.005,
              {0.020, 0.040}},
    TopEndRow{Practice::twin_cam,
              "common practice, twin cam",
              0.060,
              0.080,
              0.050,
              0.060,
              {0.040, 0.060},
              0.040,
              0.010,
              {}},
    TopEndRow{Practice::vintage_solid,
              "common practice, vintage, solid lifters",
              0.080,
              0.100,
              0.050,
              {},
              {0.060, {}},
              0.060,
              0.020,
              {}},
};

const TopEndRow& row_of(const build::Build& build) {
  const Practice practice = build.engine.practice.value_or(Practice::street_pushrod);
  for (const TopEndRow& row : rows) {
    if (row.practice == practice) {
      return row;
    }
  }
  return rows.front();
}

LimitInForce scaled(const Band& band, double unit, const char* source) {
  LimitInForce limit{{}, {}, source};
  if (band.least) {
    limit.min = *band.least * unit;
  }
  if (band.most) {
    limit.max = *band.most * unit;
  }
  return limit;
}

/// Seat and open load, lbf.
struct Loads {
  Band seat, open;
};

Loads loads_of(const build::Build& build) {
  const bool roller = build.cam && build.cam->follower == Follower::roller;
  const bool hydraulic = build.lifters && build.lifters->kind == LifterKind::hydraulic;
  switch (build.engine.practice.value_or(Practice::street_pushrod)) {
    case Practice::street_pushrod:
      return roller ? Loads{{110, 140}, {280, 350}} : Loads{{80, 110}, {{}, 320}};
    case Practice::performance_pushrod:
      if (roller) {
        return hydraulic ? Loads{{130, 165}, {350, 430}} : Loads{{180, 260}, {450, 700}};
      }
      return {{120, 145}, {300, 360}};
    case Practice::twin_cam:
      return {{40, 70}, {120, 200}};
    case Practice::vintage_solid:
      return {{45, 75}, {120, 180}};
  }
  return {};
}

/// Lash as set cold or hot, inches.
std::optional<LimitInForce> lash_limit(const build::Build& build, Valve valve) {
  const auto& typed = build.lash;
  if (typed) {
    if (const auto& wanted = valve == Valve::intake ? typed->intake : typed->exhaust) {
      constexpr double tolerance = 0.001 * inch;
      return LimitInForce{wanted->si() - tolerance, wanted->si() + tolerance, "the build's lash, ± 0.001 in"};
    }
  }
  const bool intake = valve == Valve::intake;
  switch (build.engine.practice.value_or(Practice::street_pushrod)) {
    case Practice::twin_cam:
      return scaled(intake ? Band{0.006, 0.010} : Band{0.008, 0.014}, inch,
                    "common practice, twin cam, cold");
    case Practice::vintage_solid:
      return scaled(intake ? Band{0.010, 0.015} : Band{0.015, 0.020}, inch,
                    "common practice, vintage, solid lifters, hot");
    default:
      return std::nullopt;
  }
}

std::optional<LimitInForce> spring_limit(const build::Build& build, const TopEndRow& row,
                                         const std::string& id, const Where& where) {
  if (id == "spring.seat_load") {
    return scaled(loads_of(build).seat, pound_force, row.source);
  }
  if (id == "spring.open_load") {
    return scaled(loads_of(build).open, pound_force, row.source);
  }
  if (id == "spring.coil_bind_margin") {
    return scaled(row.bind, inch, row.source);
  }
  if (id == "spring.retainer_margin") {
    return LimitInForce{row.retainer * inch, {}, row.source};
  }
  if (id == "spring.fatigue_margin") {
    return LimitInForce{1.0, {}, "the wire must last: a factor of 1 or more"};
  }
  const auto& spec = !build.springs                  ? std::nullopt
                     : where.valve == Valve::exhaust ? build.springs->exhaust
                                                     : build.springs->intake;
  if (id == "spring.height_error" && spec && spec->installed_height) {
    return LimitInForce{-row.height * inch, row.height * inch, row.source};
  }
  return std::nullopt;
}

}  // namespace

std::optional<LimitInForce> top_end_practice(const build::Build& build, const std::string& id,
                                             const Where& where) {
  const TopEndRow& row = row_of(build);
  if (id == "piston_valve.clearance" && where.valve) {
    const double aluminium_rods =
        build.rods && build.rods->material == build::RodMaterial::aluminium ? 0.030 : 0;  // inches more
    const double least = *where.valve == Valve::intake ? row.intake_to_piston : row.exhaust_to_piston;
    return LimitInForce{(least + aluminium_rods) * inch, {}, row.source};
  }
  if (id == "piston_valve.clearance_at_speed") {
    return LimitInForce{0, {}, "the valve must not meet the piston"};
  }
  if (id == "piston_valve.cam_room") {
    return LimitInForce{0, {}, "the limit of the clearance kept"};
  }
  if (id == "piston_valve.radial") {
    return LimitInForce{row.radial * inch, {}, row.source};
  }
  if (id == "piston_valve.between_valves" && row.between_valves) {
    return LimitInForce{*row.between_valves * inch, {}, row.source};
  }
  if (id == "rocker.preload") {
    return row.preload.least ? std::optional(scaled(row.preload, inch, row.source)) : std::nullopt;
  }
  if (id == "rocker.mark_offset") {
    return LimitInForce{-mark_offset * inch, mark_offset * inch, "common practice: the mark in the middle"};
  }
  if (id == "rocker.mark_width") {
    return LimitInForce{{}, mark_width * inch, "common practice: a narrow mark"};
  }
  if (id == "rocker.pushrod_buckling") {
    return LimitInForce{1.0, {}, "the pushrod must not buckle: a factor of 1 or more"};
  }
  if (id == "valve_train.separation_margin") {
    return LimitInForce{1.0, {}, "contact must hold up to the redline"};
  }
  if (id == "valve_train.pushrod_margin") {
    return LimitInForce{1.0, {}, "the pushrod must not buckle: a factor of 1 or more"};
  }
  if (id == "lash.gap" && where.valve) {
    return lash_limit(build, *where.valve);
  }
  if (id == "follower.face_margin") {
    return LimitInForce{0, {}, "the contact must stay on the face"};
  }
  if (id == "follower.pressure_angle") {
    // Norton, *Cam Design and Manufacturing Handbook*: about 30 degrees for a follower in a bore (from
    // memory).
    return LimitInForce{
        {}, 30 * quantity::radians_per_degree, "usual for a roller in a bore: 30 deg at most"};
  }
  return spring_limit(build, row, id, where);
}

}  // namespace fettle::stations
