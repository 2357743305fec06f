#include "study/evaluate.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "build/number_at.h"
#include "metrology/random.h"
#include "pull/pull.h"
#include "stations/observed.h"
#include "stations/station_work.h"
#include "stations/what_if.h"

namespace fettle::study {
namespace {

constexpr double not_had = std::numeric_limits<double>::quiet_NaN();
constexpr double rpm = 0.10471975511965977;

/// Components of readings are drawn past all numbers that vary, which have the first indices.
constexpr std::uint32_t first_of_readings = 1U << 20U;

/// Numbers of the mechanism itself: no reading says with which crank it was taken, so that there is only the
/// one.
bool of_the_crank(const std::string& path) {
  return path == "/engine/stroke" || path == "/engine/rod_length" || path == "/engine/pin_offset";
}

std::vector<Law> laws_of(const Plan& plan) {
  std::vector<Law> laws;
  for (const PlannedNumber& number : plan.numbers) {
    laws.push_back(number.law);
  }
  return laws;
}

double figure(const std::vector<pull::SpeedPoint>& points, PullFigure wanted) {
  double sum = 0.0;
  double most = -std::numeric_limits<double>::infinity();
  for (const pull::SpeedPoint& point : points) {
    if (!point.converged) {
      return not_had;
    }
    sum += point.brake_torque;
    most = std::max(most, wanted == PullFigure::peak_power ? point.brake_power : point.brake_torque);
  }
  return wanted == PullFigure::mean_torque ? sum / static_cast<double>(points.size()) : most;
}

}  // namespace

Evaluator::Evaluator(const Plan& plan, const std::atomic<bool>* cancel, Fits fits)
    : plan_(plan),
      cancel_(cancel),
      fit_anew_(fits == Fits::as_planned ? plan.fit_anew : fits == Fits::anew),
      points_(plan.study.draw, plan.study.indices == true,
              static_cast<std::uint64_t>(plan.study.seed.value_or(1)), laws_of(plan)),
      read_on_(plan.build) {
  make_setters();
  take_sources();
}

void Evaluator::make_setters() {
  const auto moves_cam = [](const PlannedNumber& number, const char* path) {
    return number.meaning == Meaning::changed && number.path == path;
  };
  for (const PlannedNumber& number : plan_.numbers) {
    if (number.meaning == Meaning::changed && !parts_) {
      parts_ = std::make_shared<build::Build>(plan_.build);
    }
  }
  const auto setter_in = [](build::Build& build, const std::string& path) {
    build::FoundNumber found = build::number_at(build, path);
    if (!found.number) {
      throw std::logic_error("a planned number is not in its build");
    }
    return std::move(found.number->set);
  };
  for (const PlannedNumber& number : plan_.numbers) {
    Setter setter;
    setter.intake_cam = moves_cam(number, "/timing_set/fitted");
    setter.exhaust_cam = moves_cam(number, "/timing_set/exhaust_fitted");
    if (!setter.intake_cam && !setter.exhaust_cam) {
      if (number.meaning == Meaning::doubted || of_the_crank(number.path)) {
        setter.read_on = setter_in(read_on_, number.path);
      }
      if (parts_) {
        setter.parts = setter_in(*parts_, number.path);
      }
    }
    setters_.push_back(std::move(setter));
  }
  what_if_.parts = parts_;
}

void Evaluator::take_sources() {
  sources_ = std::make_unique<stations::Sources>(read_on_, plan_.memory);
  groups_.clear();
  drawn_.clear();
  std::optional<std::size_t> station;
  std::vector<stations::Group> of_station;
  for (const PlannedGroup& planned : plan_.groups) {
    if (station != planned.station) {
      station = planned.station;
      of_station = stations::station_work()[planned.station].groups(*sources_);
    }
    groups_.push_back(planned.group < of_station.size() ? of_station[planned.group] : stations::Group{});
  }
  inputs_ = sources_->estimates();
  if (plan_.study.readings == true) {
    const auto& inputs = sources_->inputs();
    for (std::size_t i = 0; i < inputs.size(); ++i) {
      for (const metrology::Component& component : inputs[i].components) {
        drawn_.push_back({i, component});
      }
    }
  }
}

void Evaluator::set(std::span<const double> numbers) {
  const auto& set = plan_.build.timing_set;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    const Setter& setter = setters_[i];
    if (setter.read_on) {
      setter.read_on(numbers[i]);
    }
    if (setter.parts) {
      setter.parts(numbers[i]);
    }
    const auto moved = [&] {
      return stations::crank_advance(*set, numbers[i]) - stations::crank_advance(*set, plan_.numbers[i].base);
    };
    if (setter.intake_cam) {
      what_if_.cam_advance = moved();
      if (stations::cams_set_apart(plan_.build) && !what_if_.exhaust_advance) {
        what_if_.exhaust_advance = 0.0;
      }
    } else if (setter.exhaust_cam) {
      what_if_.exhaust_advance = moved();
    }
  }
}

void Evaluator::draw_readings(std::uint64_t draw) {
  if (drawn_.empty()) {
    return;
  }
  const auto seed = static_cast<std::uint64_t>(plan_.study.seed.value_or(1));
  const auto& estimates = sources_->estimates();
  std::copy(estimates.begin(), estimates.end(), inputs_.begin());
  std::uint32_t index = first_of_readings;
  for (const DrawnComponent& one : drawn_) {
    inputs_[one.input] += metrology::draw(one.component, {seed, draw, index++});
  }
}

void Evaluator::run_stations(std::span<double> results) {
  const stations::Observed observed(*sources_, inputs_, nullptr, what_if_);
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    const PlannedGroup& planned = plan_.groups[g];
    if (!groups_[g].evaluate) {
      continue;
    }
    std::vector<stations::Valued> values;
    try {
      values = groups_[g].evaluate(observed);
    } catch (const std::invalid_argument&) {
      continue;  // dimensions that no part can have together: these results are lost
    } catch (const std::domain_error&) {
      continue;
    }
    std::size_t next = 0;
    for (const stations::Valued& valued : values) {
      // Nearly always the same findings in the same order; one may drop out.
      for (std::size_t tried = 0; tried < planned.keys.size(); ++tried) {
        const std::size_t place = (next + tried) % planned.keys.size();
        if (planned.keys[place].id == valued.key.id && planned.keys[place].where == valued.key.where) {
          next = place + 1;
          if (planned.results[place]) {
            results[*planned.results[place]] = std::isfinite(valued.value) ? valued.value : not_had;
          }
          break;
        }
      }
    }
  }
}

void Evaluator::run_pull(std::span<double> results) {
  const WantedPull& wanted = *plan_.study.pull;
  pull::PullOptions options;
  options.from = wanted.from.si();
  options.to = wanted.to.si();
  options.step = wanted.step ? wanted.step->si() : 500 * rpm;
  options.cam = {what_if_.cam_advance};
  options.threads = 1;
  options.cancel = cancel_;
  const pull::PullOutcome outcome = pull::pull(parts_ ? *parts_ : read_on_, options);
  if (!outcome.result || outcome.result->cancelled) {
    return;
  }
  const std::size_t first = results.size() - wanted.figures.size();
  for (std::size_t i = 0; i < wanted.figures.size(); ++i) {
    results[first + i] = figure(outcome.result->curves.front().points, wanted.figures[i]);
  }
}

void Evaluator::evaluate_at(std::span<const double> numbers, std::uint64_t draw, std::span<double> results) {
  std::fill(results.begin(), results.end(), not_had);
  set(numbers);
  if (fit_anew_) {
    take_sources();
  }
  draw_readings(draw);
  run_stations(results);
  if (plan_.study.pull) {
    run_pull(results);
  }
}

void Evaluator::evaluate(std::uint64_t draw, std::span<double> row) {
  const auto numbers = row.first(plan_.numbers.size());
  points_.at(draw, numbers);
  evaluate_at(numbers, draw, row.subspan(numbers.size()));
}

}  // namespace fettle::study
