#include "build/validate.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include <fmt/format.h>

#include "build/findings.h"
#include "build/layout.h"
#include "build/validate_block.h"
#include "build/validate_breathing.h"
#include "build/validate_followers.h"
#include "build/validate_readings.h"
#include "build/validate_rockers.h"
#include "build/validate_short_block.h"
#include "build/validate_train.h"
#include "quantity/angle.h"
#include "quantity/text.h"
#include "quantity/valve_event.h"

namespace fettle::build {
namespace {

constexpr double degree = quantity::radians_per_degree;

std::string degrees_text(double radians) {
  return fmt::format("{:.6g} deg", radians / degree);
}

void check_order(const Engine& engine, int cylinders, Problems& problems) {
  std::vector<int> sorted = engine.firing_order;
  std::sort(sorted.begin(), sorted.end());
  bool permutation = static_cast<int>(sorted.size()) == cylinders;
  for (std::size_t i = 0; permutation && i < sorted.size(); ++i) {
    permutation = sorted[i] == static_cast<int>(i) + 1;
  }
  if (!permutation) {
    problems.push_back({"engine.firing_order", fmt::format("[{}]", fmt::join(engine.firing_order, ",")),
                        fmt::format("each cylinder from 1 to {} once", cylinders), ""});
  }
  if (engine.firing_intervals.empty()) {
    return;
  }
  double sum = 0;
  bool positive = true;
  for (const Angle& interval : engine.firing_intervals) {
    sum += interval.si();
    positive = positive && interval.si() > 0;
  }
  constexpr double rounding = 0.01 * degree;
  const bool closes = std::abs(sum - 4 * std::numbers::pi) < rounding;
  if (!positive || !closes || static_cast<int>(engine.firing_intervals.size()) != cylinders) {
    problems.push_back(
        {"engine.firing_intervals",
         fmt::format("{} angles, {} in all", engine.firing_intervals.size(), degrees_text(sum)),
         fmt::format("{} positive angles, 720 deg in all", cylinders), R"(["315 deg","405 deg"])"});
  }
}

void check_geometry(const Engine& engine, Problems& problems) {
  const auto check_positive = [&](const char* place, const Length& length, double most, const char* example) {
    if (length.si() <= 0 || length.si() > most) {
      problems.push_back({place, fmt::format("\"{}\"", length.typed()),
                          fmt::format("more than nothing, at most {} m", most), example});
    }
  };
  check_positive("engine.bore", engine.bore, 1.5, "\"100.0 mm\"");
  check_positive("engine.stroke", engine.stroke, 4, "\"3.386 in\"");
  check_positive("engine.rod_length", engine.rod_length, 8, "\"5.85 in\"");
  const double offset = engine.pin_offset ? std::abs(engine.pin_offset->si()) : 0;
  if (engine.stroke.si() > 0 && engine.rod_length.si() <= engine.stroke.si() / 2 + offset) {
    problems.push_back({"engine.rod_length", fmt::format("\"{}\"", engine.rod_length.typed()),
                        "longer than half the stroke and the pin offset together, or the crank cannot turn",
                        ""});
  }
}

void check_engine(const Engine& engine, Problems& problems) {
  check_geometry(engine, problems);
  const auto layout = parse_layout(engine.layout);
  if (!layout) {
    problems.push_back(
        {"engine.layout", fmt::format("\"{}\"", quantity::shown_text(engine.layout)),
         fmt::format("V, inline or flat with a number of cylinders up to {}, or single", most_cylinders),
         "\"V8\""});
    return;
  }
  check_order(engine, layout->cylinders, problems);
}

void check_event(const std::string& text, quantity::ValveEvent event, const std::string& place,
                 Problems& problems) {
  const auto parsed = quantity::parse_event(text, event);
  if (!parsed) {
    const auto& error = parsed.error();
    problems.push_back({place, fmt::format("\"{}\", which {}", error.given, error.problem), error.expected,
                        fmt::format("\"{}\"", error.example)});
  }
}

void check_lobe_card(const LobeCard& card, Valve valve, const std::string& place, Problems& problems) {
  using quantity::ValveEvent;
  const bool intake = valve == Valve::intake;
  const auto check_at = [&](const Length& at, const char* list, std::size_t i) {
    if (at.si() <= 0 || at.si() > 0.05) {
      problems.push_back({fmt::format("{}.{}[{}].at", place, list, i), fmt::format("\"{}\"", at.typed()),
                          "a check lift, more than nothing, at most 50 mm", "\"0.050 in\""});
    }
  };
  for (std::size_t i = 0; i < card.events.size(); ++i) {
    check_at(card.events[i].at, "events", i);
    const std::string at = fmt::format("{}.events[{}]", place, i);
    check_event(card.events[i].opening, intake ? ValveEvent::intake_opening : ValveEvent::exhaust_opening,
                at + ".opening", problems);
    check_event(card.events[i].closing, intake ? ValveEvent::intake_closing : ValveEvent::exhaust_closing,
                at + ".closing", problems);
  }
  for (std::size_t i = 0; i < card.durations.size(); ++i) {
    check_at(card.durations[i].at, "durations", i);
    const CardDuration& one = card.durations[i];
    if (one.duration.si() <= 0 || one.duration.si() >= 2 * std::numbers::pi) {
      problems.push_back({fmt::format("{}.durations[{}].duration", place, i),
                          fmt::format("\"{}\"", one.duration.typed()),
                          "more than 0 and less than 360 crank degrees", "\"218 deg\""});
    }
    for (const CardDuration& other : card.durations) {
      if (other.at.si() > one.at.si() && other.duration.si() >= one.duration.si()) {
        problems.push_back({fmt::format("{}.durations[{}]", place, i),
                            fmt::format("{} at {} beside {} at {}", one.duration.typed(), one.at.typed(),
                                        other.duration.typed(), other.at.typed()),
                            "a duration that grows shorter as the check lift grows", ""});
      }
    }
  }
  constexpr double least_centreline = 60 * degree;
  constexpr double most_centreline = 180 * degree;
  if (card.centerline &&
      (card.centerline->si() < least_centreline || card.centerline->si() > most_centreline)) {
    problems.push_back({place + ".centerline", fmt::format("\"{}\"", card.centerline->typed()),
                        "60 to 180 crank degrees, positive for both lobes", "\"108 deg\""});
  }
  if (card.lift && (card.lift->si() <= 0 || card.lift->si() > 0.05)) {
    problems.push_back({place + ".lift", fmt::format("\"{}\"", card.lift->typed()),
                        "more than nothing, at most 50 mm", "\"0.300 in\""});
  }
}

void check_bounds(const Build& build, Problems& problems) {
  const auto check = [&](const char* place, const auto& quantity, double least, double most,
                         const char* accepted, const char* example) {
    if (quantity && (quantity->si() < least || quantity->si() > most)) {
      problems.push_back({place, fmt::format("\"{}\"", quantity->typed()), accepted, example});
    }
  };
  if (build.lash) {
    check("lash.intake", build.lash->intake, 0, 0.005, "0 to 5 mm", "\"0.006 in\"");
    check("lash.exhaust", build.lash->exhaust, 0, 0.005, "0 to 5 mm", "\"0.008 in\"");
  }
  if (build.cam) {
    check("cam.wanted_centerline", build.cam->wanted_centerline, 60 * degree, 180 * degree,
          "60 to 180 crank degrees", "\"106 deg\"");
    if (build.cam->card) {
      check("cam.card.lobe_separation", build.cam->card->lobe_separation, 60 * degree, 180 * degree,
            "60 to 180 degrees", "\"111 deg\"");
    }
  }
  if (build.timing_set) {
    for (std::size_t i = 0; i < build.timing_set->positions.size(); ++i) {
      check(fmt::format("timing_set.positions[{}]", i).c_str(), std::optional(build.timing_set->positions[i]),
            -60 * degree, 60 * degree, "-60 to 60 deg", "\"4 deg\"");
    }
  }
}

void check_cam(const Build& build, Problems& problems) {
  if (build.cam && build.cam->card) {
    const CamCard& card = *build.cam->card;
    if (card.intake) {
      check_lobe_card(*card.intake, Valve::intake, "cam.card.intake", problems);
    }
    if (card.exhaust) {
      check_lobe_card(*card.exhaust, Valve::exhaust, "cam.card.exhaust", problems);
    }
  }
  if (build.timing_set) {
    const TimingSet& set = *build.timing_set;
    if (set.fitted && !offers(set, *set.fitted)) {
      problems.push_back({"timing_set.fitted", fmt::format("\"{}\"", set.fitted->typed()),
                          "one of timing_set.positions",
                          set.positions.empty() ? "" : fmt::format("\"{}\"", set.positions.front().typed())});
    }
    if (set.cam_teeth && (*set.cam_teeth < 8 || *set.cam_teeth > 200)) {
      problems.push_back({"timing_set.cam_teeth", fmt::format("{}", *set.cam_teeth), "8 to 200 teeth", "42"});
    }
  }
}

const char* example_of(quantity::Dimension dimension) {
  switch (dimension) {
    case quantity::Dimension::angle:
      return "\"0.5 deg\"";
    case quantity::Dimension::force:
      return "\"1 lbf\"";
    case quantity::Dimension::volume:
      return "\"0.2 cc\"";
    case quantity::Dimension::mass:
      return "\"0.5 g\"";
    case quantity::Dimension::torque:
      return "\"1 ft lb\"";
    case quantity::Dimension::pressure:
      return "\"2 psi\"";
    default:
      return "\"0.0005 in\"";
  }
}

void check_tools(const Build& build, Problems& problems) {
  for (const auto& [name, tool] : build.tools) {
    const auto wanted = measured_by(tool.kind);
    const char* example = example_of(wanted);
    const auto check = [&, &tool_name = name](const char* key, const std::optional<Measure>& figure) {
      if (figure && (figure->dimension != wanted || figure->si < 0)) {
        problems.push_back({fmt::format("tools.{}.{}", tool_name, key), fmt::format("\"{}\"", figure->typed),
                            fmt::format("{} that is not negative", quantity::name_with_article(wanted)),
                            example});
      }
    };
    check("resolution", tool.resolution);
    check("permissible_error", tool.permissible_error);
    check("range", tool.range);
    check("drift", tool.drift);
    check("parallax", tool.parallax);
    check("noise", tool.noise);
    if (tool.range && tool.range->si <= 0) {
      problems.push_back({fmt::format("tools.{}.range", name), fmt::format("\"{}\"", tool.range->typed),
                          "more than nothing", example});
    }
    if (tool.counts && wanted != quantity::Dimension::angle) {
      problems.push_back({fmt::format("tools.{}.counts", name), "a direction of counting",
                          "only for a wheel or encoder", ""});
    }
  }
}

void check_limits(const Build& build, Problems& problems) {
  for (std::size_t i = 0; i < build.limits.size(); ++i) {
    const Limit& limit = build.limits[i];
    const std::string place = fmt::format("limits[{}]", i);
    const FindingKind* kind = finding_kind(limit.finding);
    if (kind == nullptr) {
      std::vector<std::string> ids;
      for (const FindingKind& known : finding_kinds()) {
        ids.emplace_back(known.id);
      }
      const std::string near = nearest(limit.finding, ids);
      problems.push_back({place + ".finding", fmt::format("\"{}\"", quantity::shown_text(limit.finding)),
                          near.empty() ? "an id of docs/findings.md" : near + " (the nearest id)",
                          "\"cam.intake_centerline\""});
      continue;
    }
    if (!limit.min && !limit.max) {
      problems.push_back(
          {place, "neither min nor max", "at least one of min and max", "\"min\": \"106 deg\""});
    }
    for (const auto* bound : {&limit.min, &limit.max}) {
      if (*bound && (*bound)->dimension != kind->dimension) {
        problems.push_back(
            {place, fmt::format("\"{}\"", (*bound)->typed),
             fmt::format("{}, as {} is one", quantity::name_with_article(kind->dimension), kind->id), ""});
      }
    }
    if (limit.min && limit.max && limit.min->dimension == limit.max->dimension &&
        limit.min->si > limit.max->si) {
      problems.push_back({place,
                          fmt::format("min \"{}\" above max \"{}\"", limit.min->typed, limit.max->typed),
                          "min not above max", ""});
    }
    const bool misplaced = (limit.cylinder && !kind->per_cylinder) || (limit.valve && !kind->per_valve) ||
                           (limit.at && !kind->per_lift) || (limit.part && !kind->per_part) ||
                           (limit.main && !kind->per_main);
    if (misplaced) {
      problems.push_back({place,
                          fmt::format("a cylinder, main bearing, valve, check lift or part for {}", kind->id),
                          "only for findings that have one (docs/findings.md)", ""});
    }
  }
}

}  // namespace

Problems validate(const Build& build) {
  Problems problems;
  if (build.fettle != 1) {
    problems.push_back({"fettle", fmt::format("{}", build.fettle),
                        "1: the version of the format that this program reads", "1"});
  }
  if (quantity::trim(build.name).empty()) {
    problems.push_back({"name", "an empty text", "the engine's name on the bench", "\"Invented 5.4\""});
  }
  check_engine(build.engine, problems);
  check_bounds(build, problems);
  check_cam(build, problems);
  check_rockers(build, problems);
  if (const auto layout = parse_layout(build.engine.layout)) {
    check_breathing(build, layout->cylinders, problems);
  }
  check_block(build, problems);
  check_followers(build, problems);
  check_tools(build, problems);
  check_set_on(build, problems);
  check_short_block(build, problems);
  check_train(build, problems);
  check_readings(build, problems);
  check_limits(build, problems);
  return problems;
}

}  // namespace fettle::build
