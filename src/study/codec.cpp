#include "study/codec.h"

#include <array>
#include <string>

#include "build/codec.h"
#include "build/findings.h"
#include "build/reader.h"
#include "build/schema_shape.h"
#include "build/strict_json.h"
#include "quantity/text.h"
#include "stations/station_work.h"
#include "study/describe.h"

namespace fettle::study {
namespace {

using build::Named;
using build::Problem;
using build::Problems;

constexpr std::array<Named<Drawing>, 3> drawings{{
    {Drawing::grid, "grid", "every combination of the values listed"},
    {Drawing::random, "random", "each draw independent of the others"},
    {Drawing::sobol, "sobol", "a Sobol sequence, shifted at random"},
}};
constexpr std::array<Named<Spread>, 3> spreads{{
    {Spread::rectangular, "rectangular", "all values within the bounds alike"},
    {Spread::triangular, "triangular", "the middle most, the bounds never"},
    {Spread::normal, "normal", "the bounds at two standard deviations"},
}};
constexpr std::array<Named<Meaning>, 2> meanings{{
    {Meaning::doubted, "doubted", "it was so all along: the readings were taken on it"},
    {Meaning::changed, "changed", "it is changed after they were taken: what they say moves with it"},
}};
constexpr std::array<Named<PullFigure>, 3> figures{{
    {PullFigure::mean_torque, "mean_torque", "mean of the brake torque over the speeds"},
    {PullFigure::peak_torque, "peak_torque", "greatest brake torque"},
    {PullFigure::peak_power, "peak_power", "greatest brake power"},
}};

constexpr int most_draws = 100'000'000;

class Checker {
 public:
  explicit Checker(Problems& problems) : problems_(problems) {}

  void check(const Study& study) {
    if (study.study != 1) {
      refuse("study", std::to_string(study.study), "version 1 of the format", "1");
    }
    count(study);
    if (study.seed && *study.seed < 0) {
      refuse("seed", std::to_string(*study.seed), "a whole number of 0 or more", "7");
    }
    if (study.indices == true && study.draw != Drawing::sobol) {
      refuse("indices", "true", "only with \"draw\": \"sobol\"", "false");
    }
    if (study.indices == true && study.readings == true) {
      refuse("indices", "true with drawn readings", "shares by variance of the numbers that vary alone",
             "false");
    }
    if (study.readings == true && study.draw == Drawing::grid) {
      refuse("readings", "true on a grid", "true with \"random\" or \"sobol\"", "false");
    }
    if (study.vary.empty() && study.readings != true) {
      refuse("vary", "nothing", "numbers that vary, or \"readings\": true",
             R"([{ "path": "/gasket/thickness", "tolerance": "0.001 in" }])");
    }
    for (std::size_t i = 0; i < study.vary.size(); ++i) {
      varied(study.vary[i], study.draw, fmt::format("vary[{}]", i));
    }
    for (std::size_t i = 0; i < study.findings.size(); ++i) {
      finding(study.findings[i].finding, fmt::format("findings[{}].finding", i));
    }
    if (study.pull) {
      pull(*study.pull);
    }
  }

 private:
  void count(const Study& study) {
    if (study.draw == Drawing::grid) {
      if (study.count) {
        refuse("count", std::to_string(*study.count), "nothing on a grid, which has its own number", "");
      }
    } else if (!study.count || *study.count < 1 || *study.count > most_draws) {
      refuse("count", study.count ? std::to_string(*study.count) : "nothing",
             fmt::format("draws, 1 to {}", most_draws), "100000");
    }
  }

  void varied(const Varied& x, Drawing draw, const std::string& place) {
    const bool range = x.from || x.to;
    const int ways = (x.list.empty() ? 0 : 1) + (range ? 1 : 0) + (x.tolerance ? 1 : 0) + (x.sd ? 1 : 0);
    if (ways != 1) {
      refuse(place, ways == 0 ? "no way of varying it" : "several ways of varying it at once",
             "one of list, from and to, tolerance, sd",
             R"({ "path": "/gasket/thickness", "tolerance": "0.001 in" })");
      return;
    }
    if (range && !(x.from && x.to)) {
      refuse(place, x.from ? "from without to" : "to without from", "both",
             R"("from": "0.028 in", "to": "0.051 in")");
    }
    if (draw == Drawing::grid && (x.tolerance || x.sd)) {
      refuse(place, x.tolerance ? "a tolerance on a grid" : "an sd on a grid",
             "a list, or from and to with steps", R"("list": ["0.028 in","0.041 in"])");
    }
    if (draw == Drawing::grid && range && (!x.steps || *x.steps < 2 || *x.steps > 1000)) {
      refuse(place + ".steps", x.steps ? std::to_string(*x.steps) : "nothing", "2 to 1000 values", "5");
    }
    if (x.steps && (draw != Drawing::grid || !range)) {
      refuse(place + ".steps", std::to_string(*x.steps), "only on a grid, with from and to", "");
    }
    if (x.spread && (draw == Drawing::grid || !x.list.empty() || x.sd)) {
      refuse(place + ".spread", "a spread", "only with a tolerance, or from and to, off a grid", "");
    }
    if (x.middle && !x.tolerance && !x.sd) {
      refuse(place + ".middle", "a middle", "only with a tolerance or an sd", "");
    }
  }

  void finding(const std::string& id, const std::string& place) {
    if (build::finding_kind(id) != nullptr) {
      return;
    }
    std::vector<std::string> known;
    for (const auto& station : stations::station_work()) {
      if (station.id == id) {
        return;
      }
      known.emplace_back(station.id);
    }
    for (const auto& kind : build::finding_kinds()) {
      known.emplace_back(kind.id);
    }
    const std::string near = build::nearest(id, known);
    refuse(place, fmt::format("\"{}\"", quantity::shown_text(id)),
           near.empty() ? "a station or the id of a finding (docs/findings.md)"
                        : fmt::format("{} (the nearest)", near),
           "\"compression.static_ratio\"");
  }

  void pull(const WantedPull& pull) {
    constexpr double rpm = 0.10471975511965977;
    if (pull.from.si() < 200 * rpm || pull.to.si() > 30000 * rpm || pull.to < pull.from) {
      refuse("pull", fmt::format("{} to {}", pull.from.typed(), pull.to.typed()),
             "speeds from 200 to 30000 rpm, to not below from", R"("from": "2500 rpm", "to": "5500 rpm")");
    }
    if (pull.step && pull.step->si() < 50 * rpm) {
      refuse("pull.step", pull.step->typed(), "50 rpm or more", "\"500 rpm\"");
    }
  }

  void refuse(std::string place, std::string given, std::string accepted, std::string example) {
    problems_.push_back({std::move(place), std::move(given), std::move(accepted), std::move(example)});
  }

  Problems& problems_;
};

/// Takes a build that stands in the document out of it, so that the rest can be read by its description.
std::optional<build::Build> take_build(nlohmann::json& document, Problems& problems) {
  if (!document.is_object() || !document.contains("build") || !document["build"].is_object()) {
    return std::nullopt;
  }
  build::ReadBuild read = build::read_document(document["build"]);
  for (Problem& problem : read.problems) {
    problem.place = problem.place == "document" ? "build" : "build." + problem.place;
    problems.push_back(std::move(problem));
  }
  document["build"] = "";
  return std::move(read.build);
}

}  // namespace

std::span<const Named<Drawing>> names(Drawing /*of*/) {
  return drawings;
}
std::span<const Named<Spread>> names(Spread /*of*/) {
  return spreads;
}
std::span<const Named<Meaning>> names(Meaning /*of*/) {
  return meanings;
}
std::span<const Named<PullFigure>> names(PullFigure /*of*/) {
  return figures;
}

ReadStudy read_study(std::string_view text) {
  build::StrictJson json = build::read_strict_json(text);
  if (!json.problems.empty()) {
    return {std::nullopt, std::nullopt, std::move(json.problems)};
  }
  ReadStudy read;
  const bool inside =
      json.value.is_object() && json.value.contains("build") && json.value["build"].is_object();
  read.build = take_build(json.value, read.problems);
  Study study;
  build::ValueReader values(read.problems);
  values.read(json.value, study, build::Place(),
              build::Wanted{"a study", R"({ "study": 1, "name": "My study", "build": "engine.json", ... })"});
  if (read.problems.empty()) {
    Checker(read.problems).check(study);
    if (study.build.empty() && !inside) {
      read.problems.push_back(
          {"build", "an empty path", "the path of a build, or a build", "\"engine.json\""});
    }
  }
  if (read.problems.empty()) {
    read.study = std::move(study);
  }
  return read;
}

nlohmann::ordered_json study_schema() {
  nlohmann::ordered_json schema = {{"$schema", "https://json-schema.org/draft/2020-12/schema"},
                                   {"title", "Fettle study"}};
  schema.update(build::shape(Study{}));
  schema["properties"]["study"]["const"] = 1;
  auto& source = schema["properties"]["build"];
  source.erase("type");
  source["anyOf"] = {{{"type", "string"}}, {{"type", "object"}, {"$comment", "a build: build.schema.json"}}};
  return schema;
}

}  // namespace fettle::study
