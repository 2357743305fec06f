#include "study/plan.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <set>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "build/codec.h"
#include "build/findings.h"
#include "build/names.h"
#include "build/number_at.h"
#include "build/validate.h"
#include "quantity/parse.h"
#include "quantity/print.h"
#include "quantity/text.h"
#include "stations/limits.h"
#include "stations/report_json.h"
#include "stations/station_work.h"
#include "study/describe.h"
#include "study/digest.h"
#include "study/evaluate.h"

namespace fettle::study {
namespace {

using build::Problem;
using build::Problems;
using quantity::Dimension;

/// Counted up when the same study would come to other numbers.
constexpr int way_of_counting = 1;

constexpr std::uint64_t stations_chunk = 200;

/// Numbers with their laws from the document.
class NumberPlanner {
 public:
  NumberPlanner(const Study& study, Plan& plan, Problems& problems)
      : study_(study), plan_(plan), problems_(problems), copy_(plan.build) {}

  void add_all() {
    for (std::size_t i = 0; i < study_.vary.size(); ++i) {
      place_ = fmt::format("vary[{}]", i);
      add(study_.vary[i]);
    }
  }

 private:
  void add(const Varied& varied) {
    const std::size_t before = problems_.size();
    build::FoundNumber found = build::number_at(copy_, varied.path);
    if (found.problem) {
      found.problem->place = place_ + ".path";
      problems_.push_back(std::move(*found.problem));
      return;
    }
    PlannedNumber number;
    number.name = varied.name.value_or(varied.path);
    number.path = varied.path;
    number.dimension = found.number->dimension;
    number.base = found.number->si;
    const bool doubted = varied.tolerance || varied.sd;
    number.meaning = varied.meaning.value_or(doubted ? Meaning::doubted : Meaning::changed);
    if (number.meaning == Meaning::changed &&
        (varied.path.starts_with("/readings") || varied.path.starts_with("/tools"))) {
      refuse("", "a reading or tool that is changed", "\"meaning\": \"doubted\"");
    }
    const bool same = std::any_of(
        plan_.numbers.begin(), plan_.numbers.end(),
        [&](const PlannedNumber& other) { return other.path == number.path || other.name == number.name; });
    if (same) {
      refuse("", fmt::format("\"{}\" twice", number.name), "each number once, by a name of its own");
    }
    make_law(varied, number, found.number->bare);
    if (problems_.size() == before) {
      check_bounds(number, found.number->set);
    }
    plan_.numbers.push_back(std::move(number));
  }

  void make_law(const Varied& varied, PlannedNumber& number, bool bare) {
    const Spread spread = varied.spread.value_or(Spread::rectangular);
    if (!varied.list.empty()) {
      number.law.kind = Law::Kind::values;
      for (const std::string& text : varied.list) {
        number.law.values.push_back(figure(text, number.dimension, bare, "list"));
      }
    } else if (varied.from) {
      const double from = figure(*varied.from, number.dimension, bare, "from");
      const double to = figure(*varied.to, number.dimension, bare, "to");
      if (!(from < to)) {
        refuse("", fmt::format("from {} to {}", *varied.from, *varied.to), "from below to");
      }
      number.law = between(from, to, spread);
      if (varied.steps) {
        number.law = steps(from, to, *varied.steps);
      }
    } else {
      const double middle =
          varied.middle ? figure(*varied.middle, number.dimension, bare, "middle") : number.base;
      const char* key = varied.sd ? "sd" : "tolerance";
      const double width = figure(varied.sd ? *varied.sd : *varied.tolerance,
                                  quantity::difference_of(number.dimension), bare, key);
      if (!(width > 0)) {
        refuse(std::string(".") + key, varied.sd ? *varied.sd : *varied.tolerance, "more than nothing");
      }
      number.law = varied.sd ? normal(middle, width) : between(middle - width, middle + width, spread);
    }
  }

  static Law steps(double from, double to, int count) {
    Law law;
    law.kind = Law::Kind::values;
    for (int i = 0; i < count; ++i) {
      law.values.push_back(from + (to - from) * i / (count - 1));
    }
    return law;
  }

  /// Alone at both ends of its law the build must still be one.
  void check_bounds(const PlannedNumber& number, const std::function<void(double)>& set) {
    for (const double value : {number.law.least(), number.law.greatest()}) {
      set(value);
      for (const Problem& problem : build::validate(copy_)) {
        refuse("",
               fmt::format("{} at {}, where the build has {}: {}", number.path,
                           quantity::print(value, number.dimension, quantity::System::metric), problem.place,
                           problem.given),
               problem.accepted);
      }
    }
    set(number.base);
  }

  /// A number of the study: with a unit, or plain where the build's is plain.
  double figure(const std::string& text, Dimension dimension, bool bare, const char* key) {
    if (bare) {
      double number = 0.0;
      const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
      if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(number)) {
        problems_.push_back({fmt::format("{}.{}", place_, key),
                             fmt::format("\"{}\"", quantity::shown_text(text)),
                             "a plain number, as the build has there", "\"1.5\""});
      }
      return number;
    }
    const auto parsed = quantity::parse_si(text, dimension);
    if (!parsed) {
      problems_.push_back({fmt::format("{}.{}", place_, key),
                           fmt::format("\"{}\", which {}", parsed.error().given, parsed.error().problem),
                           parsed.error().expected, fmt::format("\"{}\"", parsed.error().example)});
      return 0.0;
    }
    return *parsed;
  }

  void refuse(const std::string& key, std::string given, std::string accepted) {
    problems_.push_back({place_ + key, std::move(given), std::move(accepted), ""});
  }

  const Study& study_;
  Plan& plan_;
  Problems& problems_;
  build::Build copy_;
  std::string place_;
};

bool is_wanted(const WantedFinding& wanted, const stations::FindingKey& key) {
  const bool of_id =
      key.id == std::string_view(wanted.finding) || stations::station_of(key.id.text()) == wanted.finding;
  const stations::Where& where = key.where;
  return of_id && (!wanted.cylinder || wanted.cylinder == where.cylinder) &&
         (!wanted.valve || wanted.valve == where.valve) && (!wanted.main || wanted.main == where.main) &&
         (!wanted.part || *wanted.part == where.part);
}

/// Stations that run the valve train at speed; left out where nobody asks for them by name.
bool at_speed(std::string_view station) {
  return station == "valve_train";
}

std::string result_name(const stations::FindingKey& key) {
  std::string name(key.id.text());
  if (key.where.cylinder) {
    name += fmt::format(" cylinder {}", *key.where.cylinder);
  }
  if (key.where.valve) {
    name += fmt::format(" {}", build::word(*key.where.valve));
  }
  if (key.where.main) {
    name += fmt::format(" main {}", *key.where.main);
  }
  if (!key.where.part.empty()) {
    name += fmt::format(" {}", key.where.part);
  }
  if (key.where.number) {
    name += fmt::format(" {}", *key.where.number);
  }
  if (key.where.at) {
    name += fmt::format(" at {}", quantity::print(*key.where.at, Dimension::length, "mm"));
  }
  return name;
}

class ResultPlanner {
 public:
  ResultPlanner(const Study& study, Plan& plan, Problems& problems)
      : study_(study), plan_(plan), problems_(problems), met_(study.findings.size(), false) {}

  void add_all() {
    const stations::Sources sources(plan_.build, plan_.memory);
    const stations::Observed observed(sources, sources.estimates());
    const auto work = stations::station_work();
    for (std::size_t s = 0; s < work.size(); ++s) {
      if (!station_wanted(work[s].id)) {
        continue;
      }
      const auto groups = work[s].groups(sources);
      for (std::size_t g = 0; g < groups.size(); ++g) {
        add_group(s, g, groups[g].evaluate(observed));
      }
    }
    for (std::size_t i = 0; i < met_.size(); ++i) {
      if (!met_[i]) {
        problems_.push_back({fmt::format("findings[{}]", i), study_.findings[i].finding,
                             "findings that the build has the readings for (fettle prove lists them)", ""});
      }
    }
    add_pull();
    if (plan_.results.empty() && problems_.empty()) {
      problems_.push_back({"findings", "a build without one reading", "a build that has findings", ""});
    }
  }

 private:
  bool station_wanted(std::string_view station) const {
    if (study_.findings.empty()) {
      return !study_.pull && !at_speed(station);
    }
    return std::any_of(study_.findings.begin(), study_.findings.end(), [&](const WantedFinding& wanted) {
      return wanted.finding == station || stations::station_of(wanted.finding) == station;
    });
  }

  bool wanted(const stations::FindingKey& key) {
    bool any = study_.findings.empty();
    for (std::size_t i = 0; i < study_.findings.size(); ++i) {
      if (is_wanted(study_.findings[i], key)) {
        met_[i] = true;
        any = true;
      }
    }
    return any;
  }

  void add_group(std::size_t station, std::size_t group, const std::vector<stations::Valued>& values) {
    PlannedGroup planned{station, group, {}, {}};
    bool any = false;
    for (const stations::Valued& valued : values) {
      planned.keys.push_back(valued.key);
      planned.results.emplace_back();
      if (wanted(valued.key)) {
        planned.results.back() = add_result(valued.key);
        any = true;
      }
    }
    if (any) {
      plan_.groups.push_back(std::move(planned));
    }
  }

  std::size_t add_result(const stations::FindingKey& key) {
    PlannedResult result;
    result.id = key.id.text();
    result.where = key.where;
    result.name = result_name(key);
    for (int n = 2; !names_.insert(result.name).second; ++n) {
      result.name = fmt::format("{} ({})", result_name(key), n);
    }
    if (const auto* kind = build::finding_kind(result.id)) {
      result.dimension = kind->dimension;
    }
    result.limit = stations::limit_for(plan_.build, result.id, result.where);
    plan_.results.push_back(std::move(result));
    return plan_.results.size() - 1;
  }

  void add_pull() {
    if (!plan_.study.pull) {
      return;
    }
    if (plan_.study.pull->figures.empty()) {
      plan_.study.pull->figures = {PullFigure::mean_torque, PullFigure::peak_torque, PullFigure::peak_power};
    }
    for (const PullFigure figure : plan_.study.pull->figures) {
      PlannedResult result;
      result.name = result.id = fmt::format("pull.{}", build::word(figure));
      result.dimension = figure == PullFigure::peak_power ? Dimension::power : Dimension::torque;
      plan_.results.push_back(std::move(result));
    }
    for (std::size_t i = 0; i < plan_.numbers.size(); ++i) {
      const PlannedNumber& number = plan_.numbers[i];
      if (number.path == "/timing_set/exhaust_fitted" && number.meaning == Meaning::changed) {
        problems_.push_back({fmt::format("vary[{}]", i), "an exhaust cam moved by itself, with a pull",
                             "both cams moved together: /timing_set/fitted", ""});
      }
    }
  }

  const Study& study_;
  Plan& plan_;
  Problems& problems_;
  std::vector<bool> met_;
  std::set<std::string> names_;
};

/// Everything that the numbers of the draws hang on.
std::string digest_of(const Plan& plan) {
  std::string text = fmt::format("fettle study {} {} {} {} {} {}\n", way_of_counting, plan.chunk, plan.draws,
                                 static_cast<int>(plan.study.draw), plan.study.seed.value_or(1),
                                 plan.study.readings == true ? 1 : 0);
  text += fmt::format("{}\n", plan.study.indices == true ? 1 : 0);
  for (const PlannedNumber& number : plan.numbers) {
    text += fmt::format("{}\n{}\n{} {} {:a} {:a} {:a} {:a}", number.name, number.path,
                        static_cast<int>(number.meaning), static_cast<int>(number.law.kind), number.law.low,
                        number.law.high, number.law.middle, number.law.sd);
    for (const double value : number.law.values) {
      text += fmt::format(" {:a}", value);
    }
    text += '\n';
  }
  for (const PlannedResult& result : plan.results) {
    text += result.name + '\n';
  }
  if (const auto& pull = plan.study.pull) {
    text +=
        fmt::format("{:a} {:a} {:a}\n", pull->from.si(), pull->to.si(), pull->step ? pull->step->si() : 0.0);
  }
  Digest digest;
  digest.add(text);
  digest.add(build::write_build(plan.build).dump());
  return digest.hex();
}

bool same_bits(double a, double b) {
  return a == b || (std::isnan(a) && std::isnan(b));
}

/// Whether results at some numbers come out the same with fits kept as with fits made anew.
class FitTrial {
 public:
  explicit FitTrial(const Plan& plan)
      : kept_(plan, nullptr, Evaluator::Fits::kept),
        anew_(plan, nullptr, Evaluator::Fits::anew),
        a_(plan.results.size()),
        b_(plan.results.size()) {}

  bool differ(std::span<const double> numbers, std::uint64_t draw) {
    kept_.evaluate_at(numbers, draw, a_);
    anew_.evaluate_at(numbers, draw, b_);
    return !std::equal(a_.begin(), a_.end(), b_.begin(), same_bits);
  }

 private:
  Evaluator kept_, anew_;
  std::vector<double> a_, b_;
};

/// Finds out, by trying, whether numbers that are set in place reach everything they should: each alone near
/// both ends of its law, then some whole draws. Where one does not, sources are made for every draw.
void try_fits(Plan& plan) {
  const std::optional<WantedPull> pull = std::exchange(plan.study.pull, std::nullopt);
  FitTrial trial(plan);
  std::vector<double> numbers;
  for (const PlannedNumber& number : plan.numbers) {
    numbers.push_back(number.base);
  }
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    if (plan.numbers[i].meaning == Meaning::changed) {
      continue;  // it acts on the readings as a correction does
    }
    bool differs = false;
    for (const double u : {0.001, 0.31, 0.999}) {
      numbers[i] = plan.numbers[i].law.at(u);
      differs = differs || trial.differ(numbers, 0);
    }
    numbers[i] = plan.numbers[i].base;
    if (differs) {
      plan.fit_anew_for.push_back(plan.numbers[i].name);
    }
  }
  std::vector<double> row(plan.width());
  Evaluator draws(plan, nullptr, Evaluator::Fits::kept);
  constexpr std::uint64_t whole_draws = 8;
  bool differs = false;
  for (std::uint64_t k = 0; k < std::min(whole_draws, plan.draws); ++k) {
    draws.evaluate(k, row);
    differs = differs || trial.differ(std::span(row).first(numbers.size()), k);
  }
  plan.fit_anew = differs || !plan.fit_anew_for.empty();
  plan.study.pull = pull;
}

}  // namespace

PlanOutcome make_plan(const Study& study, const build::Build& build) {
  PlanOutcome outcome;
  auto plan = std::make_unique<Plan>();
  plan->study = study;
  plan->build = build;
  plan->memory = std::make_shared<stations::Memory>();
  NumberPlanner(study, *plan, outcome.problems).add_all();
  ResultPlanner(study, *plan, outcome.problems).add_all();
  if (!outcome.problems.empty()) {
    return outcome;
  }
  std::vector<Law> laws;
  for (const PlannedNumber& number : plan->numbers) {
    laws.push_back(number.law);
  }
  const auto count = static_cast<std::uint64_t>(study.count.value_or(0));
  plan->draws = study.draw == Drawing::grid ? Points::grid_size(laws)
                                            : count * (study.indices == true ? laws.size() + 2 : 1);
  constexpr std::uint64_t most_draws = 1'000'000'000;
  if (plan->draws == 0 || plan->draws > most_draws) {
    outcome.problems.push_back({"vary", "more draws than 1000 million in all", "fewer", ""});
    return outcome;
  }
  plan->chunk = study.pull ? 1 : stations_chunk;
  const bool doubted =
      std::any_of(plan->numbers.begin(), plan->numbers.end(),
                  [](const PlannedNumber& number) { return number.meaning == Meaning::doubted; });
  if (doubted && !plan->groups.empty()) {
    try_fits(*plan);
  }
  plan->digest = digest_of(*plan);
  outcome.plan = std::move(plan);
  return outcome;
}

}  // namespace fettle::study
