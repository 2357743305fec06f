#include "stations/fastener.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/cam_evidence.h"
#include "stations/fastener_state.h"
#include "stations/length_text.h"
#include "stations/prove.h"

namespace fettle::stations {
namespace {

using nlohmann::ordered_json;

constexpr double inch = 0.0254;

Where where_of(const BoltKey& key) {
  return {{}, {}, {}, key.set, key.number};
}
Where of_set(const std::string& set) {
  return {{}, {}, {}, set, {}};
}

const build::Fastener& fastener_of(const build::Build& build, const std::string& set) {
  return build.fasteners.at(set);
}

Group bolt_group(const BoltKey& key) {
  return {[key](const Observed& observed) {
    std::vector<Valued> values;
    const build::Fastener& fastener = fastener_of(observed.build(), key.set);
    const BoltReadings readings = bolt_readings(observed, key);
    const Where where = where_of(key);
    const auto bolt = bolt_of(fastener);
    const auto stretch = readings.stretch();
    if (stretch) {
      values.push_back({{"fastener.stretch", where, ""}, *stretch});
    }
    if (readings.before && readings.after) {
      values.push_back({{"fastener.set", where, ""}, *readings.after - *readings.before});
    }
    if (readings.torque && readings.nut_factor && *readings.nut_factor > 0) {
      values.push_back(
          {{"fastener.preload_by_torque", where, ""},
           mechanism::preload_from_torque(*readings.torque, *readings.nut_factor, fastener.diameter.si())});
    }
    if (readings.angle && bolt) {
      values.push_back({{"fastener.preload_by_turn", where, ""},
                        mechanism::preload_from_angle(*bolt, std::numeric_limits<double>::infinity(),
                                                      fastener.pitch.si(), *readings.angle)});
    }
    if (stretch && bolt && readings.torque) {
      if (const auto shown = mechanism::shown_nut_factor(*bolt, *readings.torque, *stretch)) {
        values.push_back({{"fastener.nut_factor", where, ""}, *shown});
      }
    }
    const auto preload = preload_of(fastener, readings);
    const auto strength = strength_of(fastener);
    if (preload) {
      values.push_back({{"fastener.preload", where, preload->basis}, preload->force});
    }
    if (preload && strength) {
      // Stress needs the thread alone, not the length under tension.
      mechanism::Bolt of_thread = bolt.value_or(mechanism::Bolt{});
      if (!bolt) {
        build::Fastener some_length = fastener;
        some_length.thread_length = fastener.diameter;
        of_thread = bolt_of(some_length).value_or(mechanism::Bolt{});
      }
      if (!mechanism::bolt_problem(of_thread)) {
        const auto state = mechanism::bolt_state(of_thread, *strength, preload->force);
        values.push_back({{"fastener.proof_part", where, preload->basis}, state.proof_part});
        values.push_back({{"fastener.yield_margin", where, preload->basis}, state.yield_margin});
      }
    }
    return values;
  }};
}

/// Stretches of one set.
std::map<std::string, std::vector<BoltKey>> sets_read(const Sources& sources) {
  std::map<std::string, std::vector<BoltKey>> sets;
  for (const BoltKey& key : bolts_read(sources)) {
    sets[key.set].push_back(key);
  }
  return sets;
}

Group scatter_group(const std::string& set, const std::vector<BoltKey>& keys) {
  return {[set, keys](const Observed& observed) {
    std::vector<double> stretches;
    double sum = 0;
    for (const BoltKey& key : keys) {
      if (const auto stretch = bolt_readings(observed, key).stretch()) {
        stretches.push_back(*stretch);
        sum += *stretch;
      }
    }
    if (stretches.size() < 2 || !(sum > 0)) {
      return std::vector<Valued>{};
    }
    const auto [least, greatest] = std::minmax_element(stretches.begin(), stretches.end());
    return std::vector<Valued>{{{"fastener.stretch_scatter", of_set(set), ""},
                                (*greatest - *least) / (sum / static_cast<double>(stretches.size()))}};
  }};
}

std::optional<Mistake> grown(const Sources& sources, const Report& report, const BoltKey& key) {
  const Finding* set = find(report, "fastener.set", where_of(key));
  constexpr double accepted = 0.0005 * inch;
  if (set == nullptr || !set->value || *set->value <= accepted + set->expanded) {
    return std::nullopt;
  }
  return Mistake{"fastener.grown", readings_of_bolt(sources, key), std::nullopt,
                 fmt::format("{} {} came out {} longer than it went in: it was drawn past its yield.",
                             key.set, key.number, in_both(*set->value, 4)),
                 "Scrap it, and look at the torque and the lubricant that its set was tightened with."};
}

/// Stretch must grow with the torque; past the yield it grows faster.
std::optional<Mistake> not_proportional(const Observed& observed, const BoltKey& key) {
  const BoltReadings readings = bolt_readings(observed, key);
  if (readings.steps.size() < 2) {
    return std::nullopt;
  }
  const StretchStep& first = readings.steps.front();
  const StretchStep& last = readings.steps.back();
  if (!(first.stretch > 0) || !(last.torque > first.torque)) {
    return std::nullopt;
  }
  const double expected = first.stretch * last.torque / first.torque;
  constexpr double accepted = 0.15;
  double u_squared = 0;  // of both lengths, brought to the greater torque
  for (const int place : readings_of_bolt(observed.sources(), key)) {
    if (const auto input = observed.sources().amount_input(place, Amount::size)) {
      const double u = observed.sources().inputs()[*input].u() * last.torque / first.torque;
      u_squared += u * u;
    }
  }
  if (last.stretch - expected <= accepted * expected + 2 * std::sqrt(u_squared)) {
    return std::nullopt;
  }
  return Mistake{
      "fastener.not_proportional", readings_of_bolt(observed.sources(), key), std::nullopt,
      fmt::format(
          "{} {} stretched {} at the last torque, where {} would follow from the first: it gives way.",
          key.set, key.number, in_both(last.stretch, 4), in_both(expected, 4)),
      "Loosen it, measure its free length, and scrap it where that has grown."};
}

/// One torque and stretches that differ: friction differs, or one bolt is another.
std::optional<Mistake> scatter(const Sources& sources, const Report& report, const std::string& set,
                               const std::vector<BoltKey>& keys) {
  const Finding* found = find(report, "fastener.stretch_scatter", of_set(set));
  constexpr double accepted = 0.10;
  if (found == nullptr || !found->value || *found->value <= accepted + found->expanded) {
    return std::nullopt;
  }
  const Observed observed(sources, sources.estimates());
  std::vector<double> torques;
  for (const BoltKey& key : keys) {
    const BoltReadings readings = bolt_readings(observed, key);
    if (readings.stretch() && readings.torque) {
      torques.push_back(*readings.torque);
    }
  }
  // Without torques, or with different ones, stretch may differ on purpose.
  constexpr double alike = 0.02;
  const bool one_torque =
      torques.size() > 1 && *std::max_element(torques.begin(), torques.end()) <=
                                (1 + alike) * *std::min_element(torques.begin(), torques.end());
  if (!one_torque) {
    return std::nullopt;
  }
  std::vector<int> readings;
  for (const BoltKey& key : keys) {
    const auto own = readings_of_bolt(sources, key);
    readings.insert(readings.end(), own.begin(), own.end());
  }
  return Mistake{
      "fastener.stretch_scatter", readings, std::nullopt,
      fmt::format("At one torque the stretch of the {} differs by {:.0f} %: the torque goes into "
                  "friction that is not alike.",
                  set, 100 * *found->value),
      "Clean threads and faces, lubricate all with the same, work each in by tightening it twice, and "
      "go by the stretch."};
}

/// The friction shown is not the one the torque figure was meant for.
std::optional<Mistake> other_friction(const Sources& sources, const Report& report, const std::string& set,
                                      const std::vector<BoltKey>& keys) {
  std::vector<double> shown;
  double expanded = 0;
  for (const BoltKey& key : keys) {
    const Finding* factor = find(report, "fastener.nut_factor", where_of(key));
    if (factor != nullptr && factor->value) {
      shown.push_back(*factor->value);
      expanded = std::max(expanded, factor->expanded);
    }
  }
  if (shown.empty()) {
    return std::nullopt;
  }
  const build::Fastener& fastener = fastener_of(sources.build(), set);
  const double stated = nut_factor_of(fastener);
  const double middle = median(shown);
  constexpr double accepted = 0.20;
  if (std::abs(middle - stated) <= accepted * stated + expanded) {
    return std::nullopt;
  }
  const bool slippery = middle < stated;
  return Mistake{
      "fastener.other_friction",
      {},
      std::nullopt,
      fmt::format(
          "The {} show a nut factor of {:.2f} where {:.2f} was stated: the torque draws {:.0f} % {} than "
          "it was meant to.{}",
          set, middle, stated, 100 * std::abs(stated / middle - 1), slippery ? "more" : "less",
          slippery ? " Was a figure for dry threads used on oiled ones, or is less length under tension than "
                     "was typed?"
                   : " Dry or rough threads, or more length under tension than was typed."),
      "Go by the stretch, or find the torque that belongs to this lubricant."};
}

}  // namespace

std::vector<Group> fastener_station(const Sources& sources) {
  std::vector<Group> groups;
  for (const auto& [set, keys] : sets_read(sources)) {
    for (const BoltKey& key : keys) {
      groups.push_back(bolt_group(key));
    }
    groups.push_back(scatter_group(set, keys));
  }
  return groups;
}

std::vector<Missing> fastener_missing(const Sources& sources) {
  std::vector<Missing> missing;
  const Observed observed(sources, sources.estimates());
  for (const BoltKey& key : bolts_read(sources)) {
    const BoltReadings readings = bolt_readings(observed, key);
    const bool half = readings.before.has_value() != readings.tight.has_value();
    if (half) {
      missing.push_back({{"fastener.stretch", where_of(key), ""},
                         readings.before ? "its length tight" : "its length before it was tightened"});
    } else if (!preload_of(fastener_of(sources.build(), key.set), readings)) {
      missing.push_back({{"fastener.preload", where_of(key), ""},
                         readings.stretch() ? "the lengths of shank and thread under tension, in fasteners"
                                            : "its stretch, or its torque"});
    }
  }
  return missing;
}

std::vector<Mistake> fastener_mistakes(const Sources& sources, const Report& report,
                                       const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  const Observed observed(sources, sources.estimates());
  for (const auto& [set, keys] : sets_read(sources)) {
    const std::size_t before = mistakes.size();
    for (const BoltKey& key : keys) {
      auto mistake = not_proportional(observed, key);
      if (!mistake) {
        mistake = grown(sources, report, key);
      }
      if (mistake) {
        mistakes.push_back(std::move(*mistake));
      }
    }
    if (mistakes.size() > before) {
      continue;  // a bolt that gave way explains what its set shows
    }
    auto mistake = scatter(sources, report, set, keys);
    if (!mistake) {
      mistake = other_friction(sources, report, set, keys);
    }
    if (mistake) {
      mistakes.push_back(std::move(*mistake));
    }
  }
  return mistakes;
}

ordered_json fastener_picture(const Sources& sources, const Report& report) {
  ordered_json sets = ordered_json::array();
  for (const auto& [set, keys] : sets_read(sources)) {
    ordered_json one{{"set", set}, {"bolts", ordered_json::array()}};
    for (const BoltKey& key : keys) {
      const auto value = [&](std::string_view id) {
        const Finding* found = find(report, id, where_of(key));
        return found != nullptr && found->value ? ordered_json(*found->value) : ordered_json(nullptr);
      };
      one["bolts"].push_back({{"number", key.number},
                              {"stretch", value("fastener.stretch")},
                              {"preload", value("fastener.preload")},
                              {"proof_part", value("fastener.proof_part")}});
    }
    sets.push_back(std::move(one));
  }
  return {{"sets", std::move(sets)}};
}

}  // namespace fettle::stations
