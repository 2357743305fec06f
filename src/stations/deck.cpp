#include "stations/deck.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "stations/bank_line.h"
#include "stations/cam_evidence.h"
#include "stations/deck_state.h"
#include "stations/head_height.h"
#include "stations/length_text.h"
#include "stations/limits.h"
#include "stations/prove.h"
#include "stations/wanted_ratio.h"

namespace fettle::stations {
namespace {

using build::PistonPlace;
using build::ReadingKind;
using nlohmann::ordered_json;

constexpr double inch = 0.0254;

bool concerns(const Sources& sources) {
  return !sources.inventory().of(ReadingKind::deck_clearance).empty();
}

Where of_bank(std::size_t bank) {
  return {{}, {}, {}, "bank", static_cast<int>(bank) + 1};
}

Group cylinder_group(int cylinder) {
  return {[cylinder](const Observed& observed) {
    std::vector<Valued> values;
    if (const auto deck = read_deck(observed, cylinder)) {
      const Where where{cylinder, {}, {}};
      values.push_back({{"deck.clearance", where, deck->basis}, deck->below});
      if (const auto computed = computed_deck(observed)) {
        values.push_back({{"deck.error", where, deck->basis}, deck->below - *computed});
      }
    }
    return values;
  }};
}

/// Clearances of one bank over its places from the front, as far as they were read.
struct BankDecks {
  std::vector<double> places;
  std::vector<double> clearances;
  std::vector<int> cylinders;
};

BankDecks bank_decks(const Observed& observed, const std::vector<int>& bank, int left_out = 0) {
  BankDecks decks;
  for (std::size_t i = 0; i < bank.size(); ++i) {
    const auto deck = read_deck(observed, bank[i]);
    if (deck && bank[i] != left_out) {
      decks.places.push_back(static_cast<double>(i));
      decks.clearances.push_back(deck->below);
      decks.cylinders.push_back(bank[i]);
    }
  }
  return decks;
}

/// Mean over a bank of outboard less inboard.
std::optional<double> across(const Observed& observed, const std::vector<int>& bank) {
  double sum = 0;
  int count = 0;
  for (const int cylinder : bank) {
    const auto inboard = deck_at(observed, cylinder, PistonPlace::inboard);
    const auto outboard = deck_at(observed, cylinder, PistonPlace::outboard);
    if (inboard && outboard) {
      sum += *outboard - *inboard;
      ++count;
    }
  }
  return count > 0 ? std::optional(sum / count) : std::nullopt;
}

Group bank_group(std::size_t number, const std::vector<int>& bank) {
  return {[number, bank](const Observed& observed) {
    std::vector<Valued> values;
    const BankDecks decks = bank_decks(observed, bank);
    if (const auto line = bank_line(decks.places, decks.clearances)) {
      values.push_back(
          {{"deck.tilt_along", of_bank(number), ""}, line->slope * static_cast<double>(bank.size() - 1)});
    }
    if (const auto tilt = across(observed, bank)) {
      values.push_back({{"deck.tilt_across", of_bank(number), ""}, *tilt});
    }
    return values;
  }};
}

Group spread_group() {
  return {[](const Observed& observed) {
    std::vector<Valued> values;
    std::vector<double> all;
    for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
      if (const auto deck = read_deck(observed, cylinder)) {
        all.push_back(deck->below);
      }
    }
    if (all.size() > 1) {
      const auto [least, greatest] = std::minmax_element(all.begin(), all.end());
      values.push_back({{"deck.spread", {}, ""}, *greatest - *least});
    }
    if (const auto computed = computed_deck(observed)) {
      values.push_back({{"deck.computed", {}, ""}, *computed});
    }
    return values;
  }};
}

std::vector<int> all_readings(const Sources& sources) {
  return sources.inventory().of(ReadingKind::deck_clearance);
}

/// Measured and from the parts differ, and alike for all: a part is not what its sheet says.
std::optional<Mistake> parts_disagree(const Observed& observed, const Report& report) {
  constexpr double accepted = 0.005 * inch;
  std::vector<double> errors;
  double expanded = 0;
  for (const Finding& finding : report.findings) {
    if (finding.id == "deck.error" && finding.value) {
      errors.push_back(*finding.value);
      expanded = std::max(expanded, finding.expanded);
    }
  }
  if (errors.empty()) {
    return std::nullopt;
  }
  const double middle = median(errors);
  if (std::abs(middle) <= accepted + expanded) {
    return std::nullopt;
  }
  return Mistake{"deck.parts_disagree", all_readings(observed.sources()), std::nullopt,
                 fmt::format("The pistons stand {} {} than block height, throw, rod and compression height "
                             "give: one of them is not what was typed, or the deck was cut before.",
                             in_both(std::abs(middle), 3), middle > 0 ? "lower" : "higher"),
                 "Measure the block from the crank's axis to the deck, and one rod and one piston."};
}

/// One piston off the line through the others of its bank.
std::vector<Mistake> odd_pistons(const Observed& observed, const std::vector<int>& bank,
                                 const Report& report) {
  constexpr double odd = 0.005 * inch;
  std::vector<Mistake> mistakes;
  for (const int cylinder : bank) {
    const auto deck = read_deck(observed, cylinder);
    const BankDecks others = bank_decks(observed, bank, cylinder);
    if (!deck || others.cylinders.size() < 3) {
      continue;
    }
    // The middle of the others, which two odd pistons among them do not move.
    const double expected = median(others.clearances);
    const auto line = bank_line(others.places, others.clearances);
    const auto place = static_cast<double>(std::find(bank.begin(), bank.end(), cylinder) - bank.begin());
    const Finding* clearance = find(report, "deck.clearance", {cylinder, {}, {}});
    const double doubt = clearance != nullptr ? clearance->expanded : 0;
    double least_other = 0;
    for (std::size_t i = 0; i < others.clearances.size(); ++i) {
      least_other = std::max(least_other, std::abs(others.clearances[i] - line->at(others.places[i])));
    }
    const double off = deck->below - line->at(place);
    // The others must lie on their line, or it is one of them that is odd.
    if (std::abs(off) > odd + doubt && std::abs(deck->below - expected) > odd &&
        least_other < std::abs(off) / 3) {
      mistakes.push_back(
          {"deck.odd_piston", deck_readings(observed.sources(), cylinder), cylinder,
           fmt::format("The piston of cylinder {} stands {} {} than the line of its bank: a wrong piston, "
                       "rod or bearing half, or a bent rod.",
                       cylinder, in_both(std::abs(off), 3), off > 0 ? "lower" : "higher"),
           "Compare part numbers and compression heights with a neighbour; then swap piston and rod with "
           "it."});
    }
  }
  return mistakes;
}

std::vector<Mistake> bank_tilts(const Observed& observed, const Report& report) {
  constexpr double accepted = 0.004 * inch;
  std::vector<Mistake> mistakes;
  for (const Finding& finding : report.findings) {
    const bool tilt = finding.id == "deck.tilt_along" || finding.id == "deck.tilt_across";
    if (!tilt || !finding.value || std::abs(*finding.value) <= accepted + finding.expanded) {
      continue;
    }
    const bool along = finding.id == "deck.tilt_along";
    mistakes.push_back(
        {"deck.bank_tilt", all_readings(observed.sources()), std::nullopt,
         fmt::format("The deck of bank {} is out of square {}: the {} pistons stand {} lower.",
                     finding.where.number.value_or(1), along ? "along the crank" : "across it",
                     along ? (*finding.value > 0 ? "rear" : "front")
                           : (*finding.value > 0 ? "outboard edges of the" : "inboard edges of the"),
                     in_both(std::abs(*finding.value), 3)),
         "Have the deck cut square to the crank's axis, no more than the low end asks."});
  }
  return mistakes;
}

std::optional<Change> cut(const build::Build& build, double wanted, const std::string& aim) {
  const double amount = as_written(build, deck_cut(build) + wanted) - deck_cut(build);
  constexpr double least = 0.0005 * inch;
  // More than that is another block or piston (common practice, no source).
  constexpr double most = 0.030 * inch;
  if (amount < least || deck_cut(build) + amount > most) {
    return std::nullopt;
  }
  Change change;
  change.id = "deck.cut";
  const std::string total = shop_length(build, deck_cut(build) + amount);
  change.says = fmt::format("Cut {} off the deck: {}", shop_length(build, amount), aim);
  change.operations = keep_cut(build);
  change.operations.push_back(set_member(build.deck.has_value(), "deck", "cut", total));
  auto parts = std::make_shared<build::Build>(build);
  if (!parts->deck) {
    parts->deck.emplace();
  }
  parts->deck->cut = quantity::Length::typed(deck_cut(build) + amount, total);
  change.what_if.parts = std::move(parts);
  return change;
}

/// Mean of a finding over the cylinders.
std::optional<double> mean_of(const Report& report, std::string_view id) {
  double sum = 0;
  int count = 0;
  for (const Finding& finding : report.findings) {
    if (finding.id == id && finding.value) {
      sum += *finding.value;
      ++count;
    }
  }
  return count > 0 ? std::optional(sum / count) : std::nullopt;
}

}  // namespace

std::vector<Group> deck_station(const Sources& sources) {
  std::vector<Group> groups;
  if (!concerns(sources)) {
    return groups;
  }
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    groups.push_back(cylinder_group(cylinder));
  }
  const auto banks = banks_of(sources.build());
  for (std::size_t i = 0; i < banks.size(); ++i) {
    groups.push_back(bank_group(i, banks[i]));
  }
  groups.push_back(spread_group());
  return groups;
}

std::vector<Missing> deck_missing(const Sources& sources) {
  std::vector<Missing> missing;
  if (!concerns(sources)) {
    return missing;
  }
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    if (deck_readings(sources, cylinder).empty()) {
      missing.push_back({{"deck.clearance", {cylinder, {}, {}}, ""}, "the deck clearance over the pin"});
    }
  }
  return missing;
}

std::vector<Mistake> deck_mistakes(const Sources& sources, const Report& report,
                                   const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  if (!concerns(sources)) {
    return mistakes;
  }
  const Observed observed(sources, sources.estimates());
  for (const auto& bank : banks_of(sources.build())) {
    for (Mistake& odd : odd_pistons(observed, bank, report)) {
      mistakes.push_back(std::move(odd));
    }
  }
  // One odd piston tilts the line through its bank: that explains it.
  if (mistakes.empty()) {
    for (Mistake& tilt : bank_tilts(observed, report)) {
      mistakes.push_back(std::move(tilt));
    }
  }
  if (auto disagree = parts_disagree(observed, report)) {
    mistakes.push_back(std::move(*disagree));
  }
  return mistakes;
}

std::vector<Change> deck_changes(const Sources& sources, const Report& report) {
  std::vector<Change> changes;
  if (!concerns(sources)) {
    return changes;
  }
  const build::Build& build = sources.build();
  const auto keep = [&](std::optional<Change> change) {
    if (change) {
      changes.push_back(std::move(*change));
    }
  };
  const auto quench = mean_of(report, "compression.quench");
  const auto limit = limit_for(build, "compression.quench", {});
  if (quench && limit && limit->max && limit->min && *quench > *limit->max) {
    const double middle = (*limit->min + *limit->max) / 2;
    keep(cut(build, *quench - middle, "the quench distance in the middle of its limits, in the mean"));
  }
  const auto target = wanted_ratio(build, report);
  const auto mean = mean_room(sources);
  if (target && mean) {
    const double amount = -mechanism::changes_for_ratio(mean->parts, mean->stroke, *target).deck;
    keep(cut(build, amount, fmt::format("a static ratio of {:.2f} in the mean", *target)));
  }
  const auto clearance = mean_of(report, "deck.clearance");
  if (clearance && changes.empty()) {
    keep(cut(build, *clearance, "the pistons flush with it, in the mean"));
  }
  return changes;
}

ordered_json deck_picture(const Sources& sources, const Report& /*report*/) {
  ordered_json banks = ordered_json::array();
  const Observed observed(sources, sources.estimates());
  for (const auto& bank : concerns(sources) ? banks_of(sources.build()) : std::vector<std::vector<int>>{}) {
    ordered_json one{{"pistons", ordered_json::array()}, {"line", nullptr}};
    for (const int cylinder : bank) {
      const auto at = [&](PistonPlace place) {
        const auto below = deck_at(observed, cylinder, place);
        return below ? ordered_json(*below) : ordered_json(nullptr);
      };
      const auto deck = read_deck(observed, cylinder);
      one["pistons"].push_back({{"cylinder", cylinder},
                                {"below", deck ? ordered_json(deck->below) : ordered_json(nullptr)},
                                {"front", at(PistonPlace::front)},
                                {"rear", at(PistonPlace::rear)},
                                {"inboard", at(PistonPlace::inboard)},
                                {"outboard", at(PistonPlace::outboard)}});
    }
    const BankDecks decks = bank_decks(observed, bank);
    if (const auto line = bank_line(decks.places, decks.clearances)) {
      one["line"] = {line->at(0), line->at(static_cast<double>(bank.size() - 1))};
    }
    banks.push_back(std::move(one));
  }
  const auto computed = concerns(sources) ? computed_deck(observed) : std::nullopt;
  return {{"banks", std::move(banks)},
          {"computed", computed ? ordered_json(*computed) : ordered_json(nullptr)}};
}

}  // namespace fettle::stations
