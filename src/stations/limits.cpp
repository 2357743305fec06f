#include "stations/limits.h"

#include <array>
#include <cmath>

#include <fmt/format.h>

#include "build/findings.h"
#include "quantity/angle.h"
#include "quantity/valve_event.h"
#include "stations/lift_basis.h"
#include "stations/practice.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

using build::Build;
using build::Practice;
using build::Valve;
constexpr double degree = quantity::radians_per_degree;

/// Common practice, no source: one row a kind of engine (STATIONS table), in crank degrees.
struct PracticeRow {
  Practice practice;
  const char* name;
  double centreline;  ///< ± about the wanted one
  double scatter;     ///< of lobe phase
  std::optional<double> slack;
};
constexpr std::array<PracticeRow, 4> practice_rows{{
    {Practice::street_pushrod, "street pushrod", 2.0, 2.0, 5.0},
    {Practice::performance_pushrod, "performance pushrod", 1.0, 1.0, 3.0},
    {Practice::twin_cam, "twin cam", 1.0, 1.0, std::nullopt},
    {Practice::vintage_solid, "vintage, solid lifters", 2.5, 2.5, 5.0},
}};

const PracticeRow& practice_row(const Build& build) {
  const Practice practice = build.engine.practice.value_or(Practice::street_pushrod);
  for (const PracticeRow& row : practice_rows) {
    if (row.practice == practice) {
      return row;
    }
  }
  return practice_rows.front();
}

std::string said(const PracticeRow& row) {
  return fmt::format("common practice, {}", row.name);
}

LimitInForce about(double centre, double half_width, const std::string& source) {
  return {centre - half_width, centre + half_width, source};
}

std::optional<LimitInForce> common_practice(const Build& build, const std::string& id) {
  const PracticeRow& row = practice_row(build);
  if (id == "tdc.shift") {
    return about(0, 0.25 * degree, "common practice: passes agree within 1/4 degree");
  }
  if (id == "cam.intake_centerline") {
    if (const auto wanted = wanted_intake_centreline(build)) {
      return about(
          *wanted, row.centreline * degree,
          fmt::format("{}: {:.4g} deg wanted, ± {:.2g}", said(row), *wanted / degree, row.centreline));
    }
  }
  if (id == "cam.exhaust_centerline") {
    if (const auto wanted = wanted_exhaust_centreline(build)) {
      return about(
          *wanted, row.centreline * degree,
          fmt::format("{}: {:.4g} deg expected, ± {:.2g}", said(row), *wanted / degree, row.centreline));
    }
  }
  if (id == "cam.phase_error" && wanted_intake_centreline(build)) {
    return about(0, row.centreline * degree, said(row));
  }
  if (id == "cam.lobe_phase_scatter") {
    return LimitInForce{std::nullopt, row.scatter * degree, said(row)};
  }
  if (id == "cam.chain_slack" && row.slack) {
    return LimitInForce{std::nullopt, *row.slack * degree, said(row)};
  }
  return std::nullopt;
}

bool applies(const build::Limit& limit, const std::string& id, const Where& where) {
  return limit.finding == id && (!limit.cylinder || limit.cylinder == where.cylinder) &&
         (!limit.valve || limit.valve == where.valve) && (!limit.part || *limit.part == where.part) &&
         (!limit.main || limit.main == where.main) &&
         (!limit.at || (where.at && same_lift(limit.at->si(), *where.at)));
}

int particulars(const build::Limit& limit) {
  return (limit.cylinder ? 1 : 0) + (limit.valve ? 1 : 0) + (limit.at ? 1 : 0) + (limit.part ? 1 : 0) +
         (limit.main ? 1 : 0);
}

const build::LobeCard* card_of(const Build& build, Valve valve) {
  if (!build.cam || !build.cam->card) {
    return nullptr;
  }
  const auto& lobe = valve == Valve::intake ? build.cam->card->intake : build.cam->card->exhaust;
  return lobe ? &*lobe : nullptr;
}

}  // namespace

std::optional<LimitInForce> limit_for(const Build& build, const std::string& id, const Where& where) {
  const build::Limit* best = nullptr;
  for (const build::Limit& limit : build.limits) {
    if (applies(limit, id, where) && (best == nullptr || particulars(limit) >= particulars(*best))) {
      best = &limit;
    }
  }
  if (best == nullptr) {
    auto practice = common_practice(build, id);
    practice = practice ? practice : top_end_practice(build, id, where);
    practice = practice ? practice : block_practice(build, id, where);
    return practice ? practice : short_block_practice(build, id);
  }
  LimitInForce typed{std::nullopt, std::nullopt, best->source.value_or("typed by the builder")};
  if (best->min) {
    typed.min = best->min->si;
  }
  if (best->max) {
    typed.max = best->max->si;
  }
  return typed;
}

std::optional<CardEvents> card_events(const Build& build, Valve valve, double at) {
  const build::LobeCard* card = card_of(build, valve);
  if (card == nullptr) {
    return std::nullopt;
  }
  using quantity::ValveEvent;
  const bool intake = valve == Valve::intake;
  for (const build::CardEvent& event : card->events) {
    if (same_lift(event.at.si(), at)) {
      // The codec has refused cards whose events cannot be read.
      const auto opening = quantity::parse_event(
          event.opening, intake ? ValveEvent::intake_opening : ValveEvent::exhaust_opening);
      const auto closing = quantity::parse_event(
          event.closing, intake ? ValveEvent::intake_closing : ValveEvent::exhaust_closing);
      return CardEvents{opening->radians(), closing->radians()};
    }
  }
  const auto duration = card_duration(build, valve, at);
  const auto centre = card_centreline(build, valve);
  if (!duration || !centre) {
    return std::nullopt;
  }
  const double top = intake ? *centre : -*centre;
  return CardEvents{top - *duration / 2, top + *duration / 2};
}

std::optional<double> card_centreline(const Build& build, Valve valve) {
  const build::LobeCard* card = card_of(build, valve);
  if (card == nullptr) {
    return std::nullopt;
  }
  if (card->centerline) {
    return card->centerline->si();
  }
  if (!card->events.empty()) {
    const auto events = card_events(build, valve, card->events.front().at.si());
    const double centre = (events->opening + events->closing) / 2;
    return valve == Valve::intake ? centre : -centre;
  }
  const Valve other = valve == Valve::intake ? Valve::exhaust : Valve::intake;
  const build::LobeCard* other_card = card_of(build, other);
  const auto& separation = build.cam->card->lobe_separation;
  if (separation && other_card != nullptr && (other_card->centerline || !other_card->events.empty())) {
    return 2 * separation->si() - *card_centreline(build, other);
  }
  return std::nullopt;
}

std::optional<double> wanted_intake_centreline(const Build& build) {
  if (build.cam && build.cam->wanted_centerline) {
    return build.cam->wanted_centerline->si();
  }
  return card_centreline(build, Valve::intake);
}

std::optional<double> wanted_exhaust_centreline(const Build& build) {
  const auto exhaust = card_centreline(build, Valve::exhaust);
  const auto intake = card_centreline(build, Valve::intake);
  const bool own_cam = build.engine.practice == Practice::twin_cam || cams_set_apart(build);
  if (!exhaust || !intake || own_cam) {
    return exhaust;
  }
  // One cam carries both lobes: what the builder wants of the intake moves the exhaust the other way.
  return *exhaust + *intake - *wanted_intake_centreline(build);
}

std::optional<double> card_duration(const Build& build, Valve valve, double at) {
  const build::LobeCard* card = card_of(build, valve);
  if (card == nullptr) {
    return std::nullopt;
  }
  for (const build::CardDuration& one : card->durations) {
    if (same_lift(one.at.si(), at)) {
      return one.duration.si();
    }
  }
  for (const build::CardEvent& event : card->events) {
    if (same_lift(event.at.si(), at)) {
      const auto events = card_events(build, valve, at);
      return events->closing - events->opening;
    }
  }
  return std::nullopt;
}

}  // namespace fettle::stations
