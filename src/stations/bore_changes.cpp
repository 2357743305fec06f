// What can be done about pistons and bores: which piston goes into which bore, and how much to hone.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "mechanism/selective_fit.h"
#include "stations/bore.h"
#include "stations/bore_state.h"
#include "stations/length_text.h"
#include "stations/limits.h"
#include "stations/part_places.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using nlohmann::ordered_json;

constexpr double inch = 0.0254;
/// Laying clearances closer together by less than this is not worth changing pistons round.
constexpr double worth_while = 0.0002 * inch;

std::shared_ptr<build::Build> with_bores(const build::Build& build) {
  auto changed = std::make_shared<build::Build>(build);
  if (!changed->bores) {
    changed->bores.emplace();
  }
  return changed;
}

/// What is written for the bores where the build did not name them before.
Operation bores_operation(const build::Build& build, const char* key, ordered_json value) {
  return build.bores ? Operation{fmt::format("/bores/{}", key), std::move(value)}
                     : Operation{"/bores", ordered_json{{key, std::move(value)}}};
}

struct PistonChoice {
  std::vector<int> pistons;  ///< by cylinder
  double spread = 0;
  double spread_now = 0;
  bool keeps_now = true;  ///< the band, with the pistons as they are
};

/// The pistons read, each in the bore where clearances lie closest together; nothing before every bore and a
/// piston for each is read.
std::optional<PistonChoice> choose_pistons(const Observed& observed) {
  const int cylinders = observed.sources().phases().cylinders();
  std::vector<int> marks;
  std::vector<double> diameters;
  const auto& inventory = observed.sources().inventory();
  if (const auto found = inventory.at_spots.find(ReadingKind::piston_diameter);
      found != inventory.at_spots.end()) {
    for (const auto& [spot, readings] : found->second) {
      marks.push_back(spot.number);
      diameters.push_back(piston_diameter(observed, spot.number).value());
    }
  }
  if (static_cast<int>(marks.size()) < cylinders) {
    return std::nullopt;
  }
  Eigen::MatrixXd clearance(cylinders, static_cast<Eigen::Index>(marks.size()));
  std::vector<std::size_t> now;
  PistonChoice choice;
  mechanism::FitBand band;
  double least = 1e9;
  double greatest = -1e9;
  for (int cylinder = 1; cylinder <= cylinders; ++cylinder) {
    const auto bore = least_diameter(bore_state(observed, cylinder).points);
    const auto mark = std::find(marks.begin(), marks.end(), piston_in(observed.build(), cylinder));
    if (!bore || mark == marks.end()) {
      return std::nullopt;
    }
    now.push_back(static_cast<std::size_t>(mark - marks.begin()));
    for (std::size_t j = 0; j < marks.size(); ++j) {
      clearance(cylinder - 1, static_cast<Eigen::Index>(j)) = *bore - diameters[j];
    }
    const double fitted = *bore - diameters[now.back()];
    least = std::min(least, fitted);
    greatest = std::max(greatest, fitted);
    if (const auto limit = limit_for(observed.build(), "bore.piston_clearance", {cylinder, {}, {}})) {
      band.least = std::max(band.least, limit->min.value_or(band.least));
      band.greatest = std::min(band.greatest, limit->max.value_or(band.greatest));
    }
  }
  // Where no pairing keeps the band, the closest together is still the best to hone from.
  auto fit = mechanism::least_spread(clearance, band, now);
  if (!fit) {
    fit = mechanism::least_spread(clearance, {}, now);
  }
  for (const std::size_t part : fit->part_of_place) {
    choice.pistons.push_back(marks[part]);
  }
  choice.spread = fit->greatest - fit->least;
  choice.spread_now = greatest - least;
  choice.keeps_now = least >= band.least && greatest <= band.greatest;
  const bool keeps = fit->least >= band.least - 1e-9 && fit->greatest <= band.greatest + 1e-9;
  const bool mends = keeps && !choice.keeps_now;
  const bool closer = choice.spread_now - choice.spread > worth_while && (keeps || !choice.keeps_now);
  return mends || closer ? std::optional(choice) : std::nullopt;
}

std::optional<Change> pistons_change(const Observed& observed) {
  const auto choice = choose_pistons(observed);
  if (!choice) {
    return std::nullopt;
  }
  Change change;
  change.id = "bore.pistons";
  change.says = "Pistons by cylinder: " + places_text(choice->pistons, "piston");
  place_parts(change, observed.build(), choice->pistons);
  return change;
}

struct Honing {
  int cylinder = 1;
  double more = 0;  ///< on the diameter, m
};

/// Bores whose piston is too tight, and what to take out: to the middle of the band, rounded to the step that
/// is written; with no upper end, until the clearance holds with its doubt.
std::vector<Honing> honing(const Observed& observed, const Report& report, const LengthText& text) {
  std::vector<Honing> list;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const Finding* clearance = find(report, "bore.piston_clearance", {cylinder, {}, {}});
    if (clearance == nullptr || !clearance->value || !clearance->limit || !clearance->limit->min) {
      continue;
    }
    const auto& limit = *clearance->limit;
    if (*clearance->value - clearance->expanded >= *limit.min) {
      continue;
    }
    const double wanted = limit.max ? (*limit.min + *limit.max) / 2 : *limit.min + clearance->expanded;
    const double more = std::round((wanted - *clearance->value) / text.step()) * text.step();
    if (more > 0) {
      list.push_back({cylinder, more});
    }
  }
  return list;
}

/// Readings say how much had been honed out by then, before more goes.
void keep_honed(const build::Build& build, const std::vector<Honing>& list, const LengthText& text,
                std::vector<Operation>& operations) {
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    const bool of_bore = reading.kind == ReadingKind::bore_diameter || reading.kind == ReadingKind::ring_gap;
    const bool changes = of_bore && !reading.honed &&
                         std::any_of(list.begin(), list.end(),
                                     [&](const Honing& one) { return one.cylinder == reading.cylinder; });
    if (changes) {
      operations.push_back({fmt::format("/readings/{}/honed", reading.id.value_or(std::to_string(i))),
                            text(honed(build, *reading.cylinder))});
    }
  }
}

std::optional<Change> hone_change(const Observed& observed, const Report& report) {
  const build::Build& build = observed.build();
  const LengthText text = LengthText::like(build.engine.bore.typed());
  const auto list = honing(observed, report, text);
  if (list.empty()) {
    return std::nullopt;
  }
  auto parts = with_bores(build);
  auto& honed_then = parts->bores->honed;
  std::string said;
  for (const Honing& one : list) {
    const double total = honed(build, one.cylinder) + one.more;
    std::erase_if(honed_then, [&](const auto& bore) { return bore.cylinder == one.cylinder; });
    honed_then.push_back({one.cylinder, build::Length::typed(total, text(total))});
    said += fmt::format("{}{}: {}", said.empty() ? "" : "; ", one.cylinder, text(one.more));
  }
  std::sort(honed_then.begin(), honed_then.end(),
            [](const auto& a, const auto& b) { return a.cylinder < b.cylinder; });
  ordered_json written = ordered_json::array();
  for (const build::HonedBore& bore : honed_then) {
    written.push_back({{"cylinder", bore.cylinder}, {"amount", bore.amount.typed()}});
  }
  Change change;
  change.id = "bore.hone";
  change.says =
      fmt::format("Hone out, on the diameter, by cylinder: {}; then read bores and gaps anew", said);
  keep_honed(build, list, text, change.operations);
  change.operations.push_back(bores_operation(build, "honed", std::move(written)));
  change.what_if.parts = std::move(parts);
  return change;
}

}  // namespace

std::vector<Change> bore_changes(const Sources& sources, const Report& report) {
  std::vector<Change> changes;
  if (!bores_concern(sources)) {
    return changes;
  }
  const Observed observed(sources, sources.estimates());
  for (auto change : {pistons_change(observed), hone_change(observed, report)}) {
    if (change) {
      changes.push_back(std::move(*change));
    }
  }
  return changes;
}

}  // namespace fettle::stations
