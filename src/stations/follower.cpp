#include "stations/follower.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/contact.h"
#include "stations/finger.h"
#include "stations/length_text.h"
#include "stations/spring_state.h"
#include "stations/valve_motion.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::Follower;
using build::Valve;
using nlohmann::ordered_json;

/// Mean of a feature over the forward sweeps of a lobe; nothing where none gave it.
std::optional<double> feature_of(const Observed& observed, const LobeKey& key, FollowerFeature feature) {
  const auto& lobes = observed.sources().inventory().lobes;
  const auto lobe = lobes.find(key);
  if (lobe == lobes.end()) {
    return std::nullopt;
  }
  double sum = 0;
  int count = 0;
  for (const int place : lobe->second.sweeps) {
    const FittedSweep* fitted = observed.sources().sweep(place);
    if (fitted == nullptr) {
      continue;
    }
    if (const auto found = fitted->follower.find(feature); found != fitted->follower.end()) {
      sum += observed.input(found->second);
      ++count;
    }
  }
  return count > 0 ? std::optional(sum / count) : std::nullopt;
}

/// Force along the follower with the valve at full lift and the engine hardly turning, N.
std::optional<double> open_force(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of) {
  const SpringState spring = spring_state(observed, key);
  const auto lift = net_lift(observed, key, tdc_of);
  if (!spring.height || !spring.characteristic || !lift) {
    return std::nullopt;
  }
  const double load = spring.characteristic->load(*spring.height - lift->lift);
  return load > 0 ? std::optional(load * rocker_ratio(observed.build(), key.valve)) : std::nullopt;
}

/// Hertz pressure of two steel bodies at the lobe's least radius under the open spring load.
std::optional<double> nose_pressure(const Observed& observed, const LobeKey& key,
                                    const build::FollowerPart& part, double radius, TdcOfWheels& tdc_of) {
  if (!part.lobe_width || !(radius > 0)) {
    return std::nullopt;
  }
  const auto force = open_force(observed, key, tdc_of);
  if (!force) {
    return std::nullopt;
  }
  const bool roller = observed.build().cam->follower == Follower::roller;
  const double other = roller ? part.roller_diameter->si() / 2 : mechanism::flat_surface;
  const mechanism::ElasticBody steel;
  return mechanism::line_contact(*force, part.lobe_width->si(), mechanism::combined_curvature(radius, other),
                                 mechanism::contact_modulus(steel, steel))
      .peak_pressure;
}

Group lobe_group(const LobeKey& key) {
  return {[key](const Observed& observed) {
    std::vector<Valued> values;
    const build::FollowerPart* part = follower_part(observed.build(), key.valve);
    if (part == nullptr) {
      return values;
    }
    const Where where = where_of(key);
    const auto opening = feature_of(observed, key, FollowerFeature::opening_velocity);
    const auto closing = feature_of(observed, key, FollowerFeature::closing_velocity);
    if (opening && closing) {
      const double farthest = std::max(*opening, *closing);
      values.push_back({{"follower.face_needed", where, ""}, 2 * farthest});
      if (part->face_diameter) {
        values.push_back({{"follower.face_margin", where, ""}, part->face_diameter->si() / 2 - farthest});
      }
    }
    if (const auto angle = feature_of(observed, key, FollowerFeature::pressure_angle)) {
      values.push_back({{"follower.pressure_angle", where, ""}, *angle});
    }
    if (const auto radius = feature_of(observed, key, FollowerFeature::least_radius)) {
      values.push_back({{"follower.cam_radius", where, ""}, *radius});
      TdcOfWheels tdc_of(observed);
      if (const auto pressure = nose_pressure(observed, key, *part, *radius, tdc_of)) {
        values.push_back({{"follower.contact_pressure", where, "steel on steel, without oil"}, *pressure});
      }
    }
    return values;
  }};
}

/// Greatest lift of a kind of valve: of the lowest cylinder that tells it.
std::optional<double> lift_of(const Observed& observed, Valve valve) {
  TdcOfWheels tdc_of(observed);
  const auto lift = net_lift(observed, {1, valve}, tdc_of);
  return lift ? std::optional(lift->lift) : std::nullopt;
}

Group finger_group(Valve valve) {
  return {[valve](const Observed& observed) {
    std::vector<Valued> values;
    const auto finger = finger_of(observed.build(), valve);
    const auto lift = finger ? lift_of(observed, valve) : std::nullopt;
    const auto rise = lift ? finger_rise(*finger, *lift) : std::nullopt;
    const auto sweep = rise ? finger->sweep(*rise) : std::nullopt;
    if (sweep) {
      const Where where{{}, valve, {}};
      const std::string basis = "geometry of the build, taken as exact";
      values.push_back({{"follower.finger_ratio", where, basis}, *lift / *rise});
      values.push_back({{"follower.finger_sweep", where, basis}, sweep->width()});
    }
    return values;
  }};
}

bool is_finger(const build::Build& build) {
  return build.cam && build.cam->follower == Follower::finger;
}

/// What a follower's part wants of the sweeps.
bool wants_sweep(const build::Build& build, Valve valve) {
  const build::FollowerPart* part = follower_part(build, valve);
  return part != nullptr && build.cam && !is_finger(build);
}

bool swept(const Sources& sources, Valve valve) {
  const auto& lobes = sources.inventory().lobes;
  return std::any_of(lobes.begin(), lobes.end(), [&](const auto& lobe) {
    const auto& sweeps = lobe.second.sweeps;
    return lobe.first.valve == valve && std::any_of(sweeps.begin(), sweeps.end(), [&](int place) {
             return sources.sweep(place) != nullptr;
           });
  });
}

}  // namespace

std::vector<Group> follower_station(const Sources& sources) {
  std::vector<Group> groups;
  if (!sources.build().followers) {
    return groups;
  }
  for (const LobeKey& key : all_valves(sources)) {
    groups.push_back(lobe_group(key));
  }
  if (is_finger(sources.build())) {
    groups.push_back(finger_group(Valve::intake));
    groups.push_back(finger_group(Valve::exhaust));
  }
  return groups;
}

std::vector<Missing> follower_missing(const Sources& sources) {
  std::vector<Missing> missing;
  const build::Build& build = sources.build();
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    if (wants_sweep(build, valve) && !swept(sources, valve)) {
      const bool roller = build.cam->follower == Follower::roller;
      missing.push_back({{roller ? "follower.pressure_angle" : "follower.face_needed", {1, valve, {}}, ""},
                         "a sweep of one lobe of this kind"});
    }
    if (is_finger(build)) {
      if (const auto trouble = finger_trouble(build, valve)) {
        missing.push_back({{"follower.finger_ratio", {{}, valve, {}}, ""},
                           "the finger measured again, for as it is given it cannot stand: " + *trouble});
      }
    }
  }
  return missing;
}

/// A lobe that a follower runs on has no radius below nothing: what was read of it, or of its base circle, is
/// wrong.
std::vector<Mistake> follower_mistakes(const Sources& sources, const Report& report,
                                       const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  for (const Finding& finding : report.findings) {
    if (finding.id != "follower.cam_radius" || !finding.value || *finding.value + finding.expanded >= 0) {
      continue;
    }
    const LobeKey key{*finding.where.cylinder, *finding.where.valve};
    mistakes.push_back(
        {"follower.undercut", sources.inventory().lobes.at(key).sweeps, key.cylinder,
         fmt::format("The {} lobe of cylinder {} comes out undercut, {} at its sharpest: no lobe can be "
                     "ground so for this follower.",
                     build::word(key.valve), key.cylinder, in_both(*finding.value, 3)),
         "Measure the base circle across the lobe again, see that it was entered as a diameter, and that the "
         "sweep was taken where it says, at the lifter or at the valve."});
  }
  return mistakes;
}

ordered_json follower_picture(const Sources& sources, const Report& /*report*/) {
  ordered_json lobes = ordered_json::array();
  const Observed observed(sources, sources.estimates());
  for (const LobeKey& key : all_valves(sources)) {
    const build::FollowerPart* part = follower_part(sources.build(), key.valve);
    const auto opening = feature_of(observed, key, FollowerFeature::opening_velocity);
    const auto closing = feature_of(observed, key, FollowerFeature::closing_velocity);
    if (part == nullptr || !opening || !closing) {
      continue;
    }
    ordered_json one{{"cylinder", key.cylinder},
                     {"valve", std::string(build::word(key.valve))},
                     {"opening", *opening},
                     {"closing", *closing}};
    one["face"] = part->face_diameter ? ordered_json(part->face_diameter->si()) : ordered_json(nullptr);
    lobes.push_back(std::move(one));
  }
  return {{"faces", std::move(lobes)}};
}

}  // namespace fettle::stations
