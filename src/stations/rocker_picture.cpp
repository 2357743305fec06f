// The rocker with pushrod and valve at even steps of the lifter's rise, and the marks on the valves' tips.

#include <cmath>

#include "build/names.h"
#include "mechanism/rocker_arm.h"
#include "stations/rocker.h"
#include "stations/rocker_state.h"

namespace fettle::stations {
namespace {

using mechanism::Planar;
using nlohmann::ordered_json;

constexpr int drawn = 25;

ordered_json point(Planar place) {
  return {place.x, place.y};
}

ordered_json optional_json(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

/// Every part at one rise, in the frame of mechanism::RockerGeometry.
ordered_json at_rise(const mechanism::RockerTrain& train, double rise) {
  const auto state = train.at(rise);
  if (!state) {
    return nullptr;
  }
  const mechanism::RockerGeometry& g = train.geometry();
  const double drawn_tip = std::atan2(g.tip.y, g.tip.x);
  const double closed_tip = mechanism::tip_angle(g.pivot, g.tip, g.tip_radius, 0).value_or(drawn_tip);
  const double turn = closed_tip - drawn_tip - state->rocker_angle;
  const Planar tappet = g.tappet + (train.slack() + rise) * mechanism::unit(g.tappet_axis);
  return {{"rise", rise},
          {"lift", state->valve_lift},
          {"ratio", state->ratio},
          {"pivot", point(g.pivot)},
          {"tip_centre", point(g.pivot + mechanism::turned(g.tip, turn))},
          {"contact", point({state->contact, -state->valve_lift})},
          {"cup", point(g.pivot + mechanism::turned(g.cup, turn))},
          {"tappet", point(tappet)},
          {"valve_tip", point({0, -state->valve_lift})},
          {"pushrod_angle", state->pushrod_angle},
          {"tappet_side", state->tappet_side}};
}

ordered_json sweep_json(const mechanism::Sweep& sweep) {
  return {{"least", sweep.least},
          {"greatest", sweep.greatest},
          {"closed", sweep.closed},
          {"open", sweep.open},
          {"width", sweep.width()}};
}

ordered_json mechanism_json(const Observed& observed, build::Valve valve, TdcOfWheels& tdc_of) {
  const build::RockerDimensions* rocker = rocker_dimensions(observed.build(), valve);
  const auto geometry = rocker_geometry(observed, valve);
  if (rocker == nullptr || !geometry) {
    return nullptr;
  }
  const mechanism::RockerTrain train(*geometry);
  const auto rise = tappet_rise(observed, {1, valve}, train, tdc_of);
  ordered_json json{{"valve", std::string(build::word(valve))},
                    {"tip", std::string(build::word(rocker->tip.value_or(build::TipKind::pad)))},
                    {"tip_radius", geometry->tip_radius},
                    {"sweep", nullptr},
                    {"least_sweep", nullptr}};
  json["lifts"] = ordered_json::array();
  const int steps = rise ? drawn : 1;
  for (int i = 0; i < steps; ++i) {
    const double share = steps > 1 ? static_cast<double>(i) / (steps - 1) : 0;
    if (auto one = at_rise(train, share * (rise ? rise->rise : 0)); !one.is_null()) {
      json["lifts"].push_back(std::move(one));
    }
  }
  if (const auto sweep = rise ? train.sweep(rise->rise) : std::nullopt) {
    json["sweep"] = sweep_json(*sweep);
    if (const auto least = mechanism::least_sweep_pushrod(*geometry, rise->rise, pivot_range)) {
      json["least_sweep"] = sweep_json(least->sweep);
      json["least_sweep"]["pushrod"] = least->pushrod_length + ball_diameter(observed.build());
    }
  }
  return json;
}

/// Half the stem: the tip is as wide as it.
std::optional<double> tip_half_width(const build::Build& build, build::Valve valve) {
  if (!build.valves) {
    return std::nullopt;
  }
  const auto& part = valve == build::Valve::intake ? build.valves->intake : build.valves->exhaust;
  return part && part->stem_diameter ? std::optional(part->stem_diameter->si() / 2) : std::nullopt;
}

}  // namespace

ordered_json rocker_picture(const Sources& sources, const Report& /*report*/) {
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  ordered_json mechanisms = ordered_json::array();
  ordered_json marks = ordered_json::array();
  for (const build::Valve valve : {build::Valve::intake, build::Valve::exhaust}) {
    if (auto one = mechanism_json(observed, valve, tdc_of); !one.is_null()) {
      mechanisms.push_back(std::move(one));
    }
    for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
      const LobeKey key{cylinder, valve};
      if (const auto mark = tip_mark(observed, key, tdc_of)) {
        marks.push_back({{"cylinder", cylinder},
                         {"valve", std::string(build::word(valve))},
                         {"offset", mark->offset},
                         {"width", optional_json(mark->width)},
                         {"tip_half_width", optional_json(tip_half_width(sources.build(), valve))}});
      }
    }
  }
  return {{"mechanisms", std::move(mechanisms)}, {"marks", std::move(marks)}};
}

}  // namespace fettle::stations
