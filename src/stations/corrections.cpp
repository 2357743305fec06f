#include "stations/corrections.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "quantity/angle.h"
#include "stations/cam_evidence.h"
#include "stations/limits.h"
#include "stations/prove.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

using metrology::Verdict;
constexpr double degree = quantity::radians_per_degree;

/// Every finding that a change moves, from and to. To first order a change leaves the doubt as it is.
std::vector<Effect> effects_of(const Sources& sources, const Report& report, const WhatIf& what_if) {
  constexpr double rounding = 1e-9;
  const Observed changed(sources, sources.estimates(), nullptr, what_if);
  std::vector<Effect> effects;
  for (const Group& group : all_groups(sources)) {
    for (const Valued& valued : group.evaluate(changed)) {
      const Finding* from = find(report, valued.key.id, valued.key.where);
      if (from == nullptr || !from->value || std::abs(*from->value - valued.value) < rounding) {
        continue;
      }
      Effect effect{*from, *from};
      effect.to.value = valued.value;
      if (effect.to.limit) {
        effect.to.verdict = metrology::decide(effect.to.value, effect.to.expanded,
                                              {effect.to.limit->min, effect.to.limit->max});
      }
      effects.push_back(std::move(effect));
    }
  }
  return effects;
}

/// How much is left to mend: failing counts most, too close less, and then how far the cam is from where it
/// is wanted.
struct Badness {
  int fails = 0;
  int too_close = 0;
  double distance = 0;
  auto operator<=>(const Badness&) const = default;
};

Badness badness(const Report& report, const std::vector<Effect>& effects) {
  Badness total;
  const auto count = [&](const Finding& finding) {
    total.fails += finding.verdict == Verdict::fails ? 1 : 0;
    total.too_close += finding.verdict == Verdict::too_close ? 1 : 0;
    if (finding.id == "cam.phase_error" && finding.value) {
      total.distance = std::abs(*finding.value);
    }
  };
  for (const Finding& finding : report.findings) {
    const auto moved = std::find_if(effects.begin(), effects.end(), [&](const Effect& effect) {
      return effect.from.id == finding.id && effect.from.where == finding.where;
    });
    count(moved == effects.end() ? finding : moved->to);
  }
  return total;
}

/// The marks of the set to try: those offered, or the one that brings the cam where it is wanted, to half a
/// degree.
std::vector<double> positions_to_try(const build::TimingSet& set, const Report& report, double fitted) {
  std::vector<double> marks;
  const bool continuous = set.continuous.value_or(false);
  if (!continuous) {
    for (const auto& position : set.positions) {
      marks.push_back(position.si());
    }
    return marks;
  }
  const Finding* error = find(report, "cam.phase_error", {});
  if (error != nullptr && error->value && !set.positions.empty()) {
    const auto [least, greatest] = std::minmax_element(set.positions.begin(), set.positions.end());
    const double per_mark = crank_advance(set, 1);
    const double wanted = fitted + *error->value / per_mark;
    const double rounded = std::round(wanted / (0.5 * degree)) * 0.5 * degree;
    marks.push_back(std::clamp(rounded, least->si(), greatest->si()));
  }
  return marks;
}

std::string mark_text(const build::TimingSet& set, double mark) {
  for (const auto& position : set.positions) {
    if (std::abs(position.si() - mark) < 1e-9 && !position.typed().empty()) {
      return position.typed();
    }
  }
  return fmt::format("{:g} deg", std::round(mark / degree * 100) / 100);
}

/// Lobe readings that do not say at which position they were taken were taken at the one fitted until now:
/// that must be written into them before another one is fitted.
std::vector<Operation> keep_positions(const build::Build& build) {
  std::vector<Operation> operations;
  const std::string fitted = build.timing_set->fitted ? build.timing_set->fitted->typed() : "0 deg";
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    const bool of_lobe = reading.valve.has_value();
    if (of_lobe && !reading.position) {
      operations.push_back(
          {fmt::format("/readings/{}/position", reading.id.value_or(std::to_string(i))), fitted});
    }
  }
  return operations;
}

Correction cam_position(const Sources& sources, const Report& report, double mark) {
  const build::TimingSet& set = *sources.build().timing_set;
  const double advance = crank_advance(set, mark) - crank_advance(set, fitted_position(sources.build()));
  Correction correction;
  correction.id = "cam.position";
  const std::string wanted = mark_text(set, mark);
  correction.operations = keep_positions(sources.build());
  correction.operations.push_back({"/timing_set/fitted", wanted});
  correction.says = fmt::format("{} the cam {} (crank): fit the {} position",
                                advance > 0 ? "Advance" : "Retard", degrees_text(std::abs(advance)), wanted);
  correction.effects = effects_of(sources, report, {.cam_advance = advance});
  return correction;
}

}  // namespace

std::vector<Correction> find_corrections(const Sources& sources, const Report& report) {
  std::vector<Correction> corrections;
  const auto& set = sources.build().timing_set;
  const bool read = std::any_of(report.findings.begin(), report.findings.end(), [](const Finding& finding) {
    return finding.id.starts_with("cam.") && finding.value.has_value();
  });
  if (!set || !read) {
    return corrections;
  }
  const double fitted = fitted_position(sources.build());
  const Badness now = badness(report, {});
  std::optional<std::size_t> best;
  Badness least = now;
  for (const double mark : positions_to_try(*set, report, fitted)) {
    if (std::abs(mark - fitted) < 0.01 * degree) {
      continue;
    }
    corrections.push_back(cam_position(sources, report, mark));
    const Badness then = badness(report, corrections.back().effects);
    if (then < least) {
      least = then;
      best = corrections.size() - 1;
    }
  }
  // A move that leaves as much failing as before mends nothing: something else is wrong.
  if (best && (least.fails < now.fails || (least.fails == now.fails && least.too_close < now.too_close))) {
    corrections[*best].recommended = true;
  }
  return corrections;
}

}  // namespace fettle::stations
