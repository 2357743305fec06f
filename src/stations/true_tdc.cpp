#include "stations/true_tdc.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "mechanism/circular.h"

namespace fettle::stations {
namespace {

using mechanism::full_turn;
using mechanism::wrap_centred;
using mechanism::wrap_positive;

/// One determination of cylinder 1's TDC, and the weight the tools give it.
struct Determination {
  double tdc = 0;
  double weight = 0;
};

double variance_of(const Sources& sources, std::optional<std::size_t> input) {
  const double u = input ? sources.inputs()[*input].u() : 0;
  return u * u;
}

/// Variance of a determination without any stated doubt: a thousandth of a degree, so that weights stay
/// finite.
constexpr double least_variance = 3e-10;

double mean_variance(const Sources& sources, const std::vector<int>& readings) {
  double sum = 0;
  for (const int reading : readings) {
    sum += variance_of(sources, sources.wheel_input(reading));
  }
  const auto count = static_cast<double>(readings.size());
  return sum / (count * count);
}

void add_stops(const Observed& observed, const std::string& wheel, std::optional<int> pass,
               std::vector<Determination>& all) {
  const Sources& sources = observed.sources();
  for (const StopGroup& group : sources.inventory().stops) {
    const bool other = group.wheel != wheel || (pass && group.pass != *pass);
    if (other || group.forward.empty() || group.backward.empty()) {
      continue;
    }
    const auto stop = mechanism::tdc_from_stop(observed.mean_turned(group.forward),
                                               observed.mean_turned(group.backward), sources.crank());
    const double variance =
        (mean_variance(sources, group.forward) + mean_variance(sources, group.backward)) / 4;
    all.push_back(
        {stop.tdc - sources.phases().crank_phase(group.cylinder), 1 / std::max(variance, least_variance)});
  }
}

void add_drops(const Observed& observed, const std::string& wheel, std::optional<int> pass,
               std::vector<Determination>& all) {
  const Sources& sources = observed.sources();
  for (const DropGroup& group : sources.inventory().drops) {
    if (group.wheel != wheel || (pass && group.pass != *pass)) {
      continue;
    }
    std::vector<mechanism::DropReading> drops;
    for (const int reading : group.readings) {
      const bool before = observed.reading(reading).side == build::Side::before;
      drops.push_back({observed.turned(reading), observed.lift(reading),
                       before ? mechanism::Side::before_tdc : mechanism::Side::after_tdc,
                       std::sqrt(std::max(variance_of(sources, sources.lift_input(reading)), 1e-14)),
                       std::sqrt(variance_of(sources, sources.wheel_input(reading)))});
    }
    const auto fit = mechanism::tdc_from_drops(drops, sources.crank());
    if (fit.converged) {
      all.push_back({fit.tdc - sources.phases().crank_phase(group.cylinder),
                     1 / std::max(fit.covariance(0, 0), least_variance)});
    }
  }
}

void add_sweeps(const Observed& observed, const std::string& wheel, std::optional<int> pass,
                std::vector<Determination>& all) {
  const Sources& sources = observed.sources();
  for (const int place : sources.inventory().tdc_sweeps) {
    const build::Reading& reading = observed.reading(place);
    const FittedTdc* fitted = sources.tdc_sweep(place);
    if (reading.tool.value_or("") != wheel || (pass && pass_of(reading) != *pass) || fitted == nullptr) {
      continue;
    }
    all.push_back({observed.swept_tdc(place) - sources.phases().crank_phase(*reading.cylinder),
                   1 / std::max(variance_of(sources, fitted->input), least_variance)});
  }
}

/// Every pass and wheel that a TDC determination was made on.
std::vector<std::pair<std::string, int>> determinations(const Sources& sources) {
  std::vector<std::pair<std::string, int>> all;
  for (const StopGroup& group : sources.inventory().stops) {
    if (!group.forward.empty() && !group.backward.empty()) {
      all.emplace_back(group.wheel, group.pass);
    }
  }
  for (const DropGroup& group : sources.inventory().drops) {
    all.emplace_back(group.wheel, group.pass);
  }
  for (const int place : sources.inventory().tdc_sweeps) {
    const build::Reading& reading = sources.build().readings[static_cast<std::size_t>(place)];
    if (sources.tdc_sweep(place) != nullptr) {
      all.emplace_back(reading.tool.value_or(""), pass_of(reading));
    }
  }
  return all;
}

}  // namespace

std::optional<double> tdc_on_wheel(const Observed& observed, const std::string& wheel,
                                   std::optional<int> pass) {
  std::vector<Determination> all;
  add_stops(observed, wheel, pass, all);
  add_drops(observed, wheel, pass, all);
  add_sweeps(observed, wheel, pass, all);
  if (all.empty()) {
    return std::nullopt;
  }
  const double first = all.front().tdc;
  double sum = 0;
  double weights = 0;
  for (const Determination& one : all) {
    sum += one.weight * wrap_centred(one.tdc - first, full_turn);
    weights += one.weight;
  }
  return wrap_positive(first + sum / weights, full_turn);
}

std::optional<double> TdcOfWheels::operator()(const std::string& wheel) {
  for (const auto& [name, tdc] : known_) {
    if (name == wheel) {
      return tdc;
    }
  }
  return known_.emplace_back(wheel, tdc_on_wheel(observed_, wheel)).second;
}

std::optional<std::string> main_wheel(const Sources& sources) {
  std::map<std::string, int> counts;
  for (const auto& [wheel, pass] : determinations(sources)) {
    ++counts[wheel];
  }
  const auto most = std::max_element(counts.begin(), counts.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
  return most == counts.end() ? std::nullopt : std::optional(most->first);
}

std::optional<Passes> tdc_passes(const Sources& sources, const std::string& wheel) {
  std::optional<Passes> passes;
  for (const auto& [name, pass] : determinations(sources)) {
    if (name != wheel) {
      continue;
    }
    passes =
        passes ? Passes{std::min(passes->first, pass), std::max(passes->last, pass)} : Passes{pass, pass};
  }
  return passes;
}

std::vector<Group> true_tdc_station(const Sources& sources) {
  const auto wheel = main_wheel(sources);
  if (!wheel) {
    return {};
  }
  const double counting = sources.counting(*wheel);
  std::vector<Group> groups;
  // Stated in [0, 2π), but varied to either side of that: a wheel set to read 0 at TDC has no jump there.
  const double stated =
      wrap_positive(counting * *tdc_on_wheel(Observed(sources, sources.estimates()), *wheel), full_turn);
  groups.push_back({[wheel = *wheel, counting, stated](const Observed& observed) {
    const double turned = *tdc_on_wheel(observed, wheel);
    const double off = wrap_centred(counting * turned - stated, full_turn);
    return std::vector<Valued>{{{"tdc.wheel", {}, ""}, stated + off}};
  }});
  const auto passes = tdc_passes(sources, *wheel);
  if (passes->last > passes->first) {
    groups.push_back({[wheel = *wheel, passes = *passes](const Observed& observed) {
      const double shift =
          *tdc_on_wheel(observed, wheel, passes.last) - *tdc_on_wheel(observed, wheel, passes.first);
      return std::vector<Valued>{{{"tdc.shift", {}, ""}, wrap_centred(shift, full_turn)}};
    }});
  }
  return groups;
}

std::vector<Missing> true_tdc_missing(const Sources& sources) {
  if (main_wheel(sources)) {
    return {};
  }
  const bool one_sided = !sources.inventory().stops.empty();
  return {{{"tdc.wheel", {}, ""},
           one_sided
               ? "contact with the same stop turning the other way"
               : "contact with a positive stop from both sides, indicator drops, or a sweep through TDC"}};
}

}  // namespace fettle::stations
