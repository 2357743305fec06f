#include "stations/pictures.h"

#include <cmath>
#include <numbers>
#include <vector>

#include "build/names.h"
#include "mechanism/circular.h"
#include "quantity/angle.h"
#include "stations/cam_timing.h"
#include "stations/card_lobe.h"
#include "stations/limits.h"
#include "stations/report_json.h"
#include "stations/true_tdc.h"

namespace fettle::stations {
namespace {

using build::Valve;
using nlohmann::ordered_json;

constexpr double degree = quantity::radians_per_degree;
/// Curves are sent at this spacing over this much either side of the top: enough for any screen.
constexpr double curve_step = 2 * degree;
constexpr int curve_steps = 90;

ordered_json optional_json(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

/// Four decimals of a degree and a nanometre: no more than that is ever drawn.
double rounded(double value, double step) {
  return std::round(value / step) * step;
}

ordered_json wheel_picture(const Sources& sources, const Report& report) {
  ordered_json picture;
  const Finding* tdc = find(report, "tdc.wheel", {});
  const auto wheel = main_wheel(sources);
  picture["wheel_at_tdc"] = tdc != nullptr ? optional_json(tdc->value) : ordered_json(nullptr);
  picture["expanded"] = tdc != nullptr ? tdc->expanded : 0;
  picture["counts"] = sources.counting(wheel.value_or("")) > 0 ? "forward" : "backward";
  picture["contacts"] = ordered_json::array();
  for (const StopGroup& group : sources.inventory().stops) {
    for (const auto* list : {&group.forward, &group.backward}) {
      for (const int place : *list) {
        const build::Reading& reading = sources.build().readings[static_cast<std::size_t>(place)];
        picture["contacts"].push_back(
            {{"reading", place},
             {"wheel",
              mechanism::wrap_positive(reading.wheel->number(sources.counting(place)), mechanism::full_turn)},
             {"turning", std::string(build::word(*reading.turning))},
             {"cylinder", group.cylinder},
             {"pass", group.pass},
             {"stop", group.stop}});
      }
    }
  }
  return picture;
}

ordered_json events_json(const std::vector<LobeEvents>& list) {
  ordered_json events = ordered_json::array();
  for (const LobeEvents& one : list) {
    events.push_back(
        {{"at", one.at}, {"opening", optional_json(one.opening)}, {"closing", optional_json(one.closing)}});
  }
  return events;
}

/// A curve over signed crank angle, sampled about `centre`; `lift` is given the signed crank angle.
template <class Lift>
void add_curve(ordered_json& json, double centre, Lift lift) {
  ordered_json angles = ordered_json::array();
  ordered_json lifts = ordered_json::array();
  for (int i = -curve_steps; i <= curve_steps; ++i) {
    const double angle = centre + i * curve_step;
    angles.push_back(rounded(angle, 1e-6));
    lifts.push_back(rounded(lift(angle), 1e-9));
  }
  json["crank"] = std::move(angles);
  json["lift"] = std::move(lifts);
}

/// What a curve is where there is nothing to draw one from.
void add_empty_curve(ordered_json& json) {
  json["crank"] = ordered_json::array();
  json["lift"] = ordered_json::array();
}

void add_sweep(const Sources& sources, int place, double top, ordered_json& json) {
  const FittedSweep& fitted = *sources.sweep(place);
  const double own_top = fitted.reduced->reduction.top;
  const double base = fitted.reduced->reduction.base_level;
  const auto on_card = [&](double indicated) { return fitted.basis.to_card(indicated - base); };
  add_curve(json, top, [&](double angle) {
    return on_card(fitted.reduced->fit.fit.curve.value(angle - top + own_top));
  });
  for (const auto& point : sources.sweep_points(place)) {
    const double from_top = mechanism::wrap_centred(point.crank_angle - own_top, mechanism::full_cycle);
    json["points"].push_back({rounded(top + from_top, 1e-6), rounded(on_card(point.lift), 1e-9)});
  }
}

ordered_json lobe_picture(const Observed& observed, const LobeKey& key, const LobeReadings& readings,
                          TdcOfWheels& tdc_of) {
  ordered_json json{{"cylinder", key.cylinder}, {"valve", std::string(build::word(key.valve))}};
  add_empty_curve(json);
  json["points"] = ordered_json::array();
  const auto state = read_lobe(observed, key, readings, tdc_of);
  if (!state) {
    return nullptr;
  }
  json["events"] = events_json(state->lifts);
  json["drops"] = events_json(state->drops);
  const auto centre = lobe_centre(*state);
  json["centre"] = centre ? ordered_json(centre->angle) : ordered_json(nullptr);
  json["top"] = {{"crank", optional_json(state->top)}, {"lift", optional_json(state->max_lift)}};
  for (const int place : readings.sweeps) {
    if (observed.sources().sweep(place) != nullptr && state->top) {
      add_sweep(observed.sources(), place, *state->top, json);
      break;
    }
  }
  return json;
}

ordered_json card_picture(const Sources& sources, Valve valve) {
  const build::Build& build = sources.build();
  const auto lobe = card_lobe(build, valve, sources.memory());
  ordered_json json{{"valve", std::string(build::word(valve))}, {"synthesised", lobe != nullptr}};
  add_empty_curve(json);
  const double centre = expected_centre(build, valve);
  json["centre"] = card_centreline(build, valve) ? ordered_json(centre) : ordered_json(nullptr);
  std::vector<LobeEvents> events;
  for (const double at : check_lifts(build, valve)) {
    if (const auto card = card_events(build, valve, at)) {
      events.push_back({at, card->opening, card->closing});
    }
  }
  json["events"] = events_json(events);
  if (lobe) {
    add_curve(json, centre, [&](double angle) { return lobe->curve->value(angle); });
  }
  return json;
}

}  // namespace

ordered_json tdc_picture(const Sources& sources, const Report& report) {
  return wheel_picture(sources, report);
}

ordered_json cam_picture(const Sources& sources, const Report& /*report*/) {
  const Observed observed(sources, sources.estimates());
  ordered_json lobes = ordered_json::array();
  TdcOfWheels tdc_of(observed);
  for (const auto& [key, readings] : sources.inventory().lobes) {
    if (auto lobe = lobe_picture(observed, key, readings, tdc_of); !lobe.is_null()) {
      lobes.push_back(std::move(lobe));
    }
  }
  ordered_json card = ordered_json::array();
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    card.push_back(card_picture(sources, valve));
  }
  return {{"lobes", std::move(lobes)}, {"card", std::move(card)}};
}

}  // namespace fettle::stations
