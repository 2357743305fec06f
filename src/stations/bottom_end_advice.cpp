// What readings of bearings give away; common practice, no source.

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/bottom_end.h"
#include "stations/bottom_end_state.h"
#include "stations/length_text.h"
#include "stations/slipped_readings.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
constexpr double inch = 0.0254;

void append(std::vector<int>& all, const std::vector<int>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

/// Readings of one kind at all mains, or at all rods.
std::vector<int> all_of(const Sources& sources, ReadingKind kind, SpotKind spots) {
  std::vector<int> readings;
  const auto found = sources.inventory().at_spots.find(kind);
  if (found != sources.inventory().at_spots.end()) {
    for (const auto& [spot, places] : found->second) {
      if (spot.kind == spots) {
        append(readings, places);
      }
    }
  }
  return readings;
}

struct SlippedKind {
  ReadingKind kind;
  const char* what;
};
constexpr std::array round_kinds{
    SlippedKind{ReadingKind::journal_diameter, "journal"},
    SlippedKind{ReadingKind::housing_bore, "housing"},
    SlippedKind{ReadingKind::bearing_bore, "bearing bore"},
};

std::vector<Slip> slips_of(const Observed& observed, ReadingKind kind, SpotKind spots) {
  const build::BearingSet* set = bearing_set(observed.build(), spots);
  const bool journals = kind == ReadingKind::journal_diameter;
  const auto expected =
      journals && set != nullptr && set->journal ? std::optional(set->journal->si()) : std::nullopt;
  return slips(observed, all_of(observed.sources(), kind, spots), expected);
}

/// A bearing whose readings hold a slip is not looked at for anything else.
bool any_slipped(const Observed& observed, const Spot& spot) {
  return std::any_of(round_kinds.begin(), round_kinds.end(), [&](const SlippedKind& one) {
    return slipped(slips_of(observed, one.kind, spot.kind),
                   observed.sources().inventory().at_spot(one.kind, spot));
  });
}

void add_slips(const Observed& observed, SpotKind spots, std::vector<Mistake>& mistakes) {
  const char* of = spots == SpotKind::main ? "main" : "rod";
  for (const SlippedKind& one : round_kinds) {
    for (const Slip& slip : slips_of(observed, one.kind, spots)) {
      mistakes.push_back(
          {"bottom_end.slipped_reading", slip.readings, std::nullopt,
           fmt::format(
               "{} of the {} {} readings {} too {} by just {}: the instrument was misread, the part is "
               "not that far off.",
               slip.readings.size(), of, one.what, slip.readings.size() == 1 ? "is" : "are",
               slip.slip > 0 ? "great" : "small", slip.of_what),
           "Look at the sleeve again before the thimble, and take that reading again."});
    }
  }
}

/// A journal over its new size by more than its doubt.
std::optional<Mistake> above_new(const Observed& observed, const Report& report, const Spot& spot) {
  const build::BearingSet* set = bearing_set(observed.build(), spot.kind);
  const Finding* journal = find(report, bearing_id(spot, "journal").text(), where_of(spot));
  if (set == nullptr || !set->journal || journal == nullptr || !journal->value) {
    return std::nullopt;
  }
  const double over = *journal->value - set->journal->si();
  if (over <= journal->expanded) {
    return std::nullopt;
  }
  return Mistake{
      "bottom_end.journal_above_new",
      observed.sources().inventory().at_spot(ReadingKind::journal_diameter, spot), where_of(spot).cylinder,
      fmt::format("The journal of {} reads {} over the greatest size of a new one; wear takes off, it does "
                  "not add. The micrometer is not at nought, the part was warm, or it is another crank.",
                  bearing_text(spot), in_both(over, 4)),
      "Check the micrometer on its standard, let crank and tools come to one temperature, and read again."};
}

/// Two ways to one clearance that differ by more than `accepted` and by more than their doubt.
std::optional<Mistake> ways_differ(const Observed& observed, const Report& report, const Spot& spot,
                                   std::string_view quantity, double accepted, const char* id,
                                   const std::vector<ReadingKind>& kinds, const char* says,
                                   const char* do_next) {
  const Finding* check = find(report, bearing_id(spot, quantity).text(), where_of(spot));
  if (check == nullptr || !check->value ||
      std::abs(*check->value) <= std::max(accepted * inch, check->expanded)) {
    return std::nullopt;
  }
  std::vector<int> readings;
  for (const ReadingKind kind : kinds) {
    append(readings, observed.sources().inventory().at_spot(kind, spot));
  }
  return Mistake{id, readings, where_of(spot).cylinder,
                 fmt::format(fmt::runtime(says), bearing_text(spot), in_both(std::abs(*check->value), 4),
                             *check->value > 0 ? "more" : "less"),
                 do_next};
}

void add_checks(const Observed& observed, const Report& report, const Spot& spot,
                std::vector<Mistake>& mistakes) {
  if (auto mistake = above_new(observed, report, spot)) {
    mistakes.push_back(std::move(*mistake));
  }
  if (auto mistake = ways_differ(
          observed, report, spot, "cross_check", 0.0004, "bottom_end.cross_check_differs",
          {ReadingKind::bearing_bore, ReadingKind::housing_bore, ReadingKind::shell_wall},
          "The bore of {} with its shells in is {} {} than housing and walls make it: a shell not "
          "home or with dirt behind it, a cap turned round, torque not the same both times, or a gauge not "
          "set anew.",
          "Take the shells out, wipe housing and backs dry, torque the same way, set the gauge anew and read "
          "both again.")) {
    mistakes.push_back(std::move(*mistake));
  }
  if (auto mistake = ways_differ(
          observed, report, spot, "strip_check", 0.0005, "bottom_end.strip_differs",
          {ReadingKind::film_strip, ReadingKind::bearing_bore, ReadingKind::journal_diameter},
          "The strip at {} shows {} {} than the gauge. A strip reads the one line it lay on, and less "
          "where the journal was turned on it or oil was left; trust gauge and micrometer.",
          "Wipe it dry, lay a fresh strip along the middle, torque without turning the crank, and "
          "compare.")) {
    mistakes.push_back(std::move(*mistake));
  }
}

struct Sized {
  Spot spot;
  double size;
  double expanded;
};

/// One journal well off all the others, which agree among themselves.
std::optional<Mistake> outlier(const Sources& sources, const std::vector<Sized>& journals) {
  constexpr std::size_t fewest = 4;
  constexpr double least = 0.0006 * inch;
  if (journals.size() < fewest) {
    return std::nullopt;
  }
  for (const Sized& odd : journals) {
    double low = 1e9;
    double high = -1e9;
    for (const Sized& other : journals) {
      if (other.spot != odd.spot) {
        low = std::min(low, other.size);
        high = std::max(high, other.size);
      }
    }
    const double off = odd.size > high ? odd.size - high : odd.size < low ? odd.size - low : 0;
    const double enough = std::max({least, 2 * (high - low), odd.expanded});
    if (std::abs(off) > enough) {
      return Mistake{"bottom_end.journal_outlier",
                     sources.inventory().at_spot(ReadingKind::journal_diameter, odd.spot),
                     where_of(odd.spot).cylinder,
                     fmt::format("The journal of {} is {} {} than the {} of all others, which agree: a "
                                 "misread journal, or one worn or ground apart from the rest.",
                                 bearing_text(odd.spot), in_both(std::abs(off), 4),
                                 off > 0 ? "greater" : "smaller", off > 0 ? "greatest" : "smallest"),
                     "Read that journal again, and one of its neighbours with it."};
    }
  }
  return std::nullopt;
}

}  // namespace

std::vector<Mistake> bottom_end_mistakes(const Sources& sources, const Report& report,
                                         const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  const auto bearings = all_bearings(sources);
  if (bearings.empty()) {
    return mistakes;
  }
  const Observed observed(sources, sources.estimates());
  for (const SpotKind kind : {SpotKind::main, SpotKind::cylinder}) {
    add_slips(observed, kind, mistakes);
    std::vector<Sized> journals;
    for (const Spot& spot : bearings) {
      if (spot.kind != kind || any_slipped(observed, spot)) {
        continue;
      }
      add_checks(observed, report, spot, mistakes);
      const Finding* journal = find(report, bearing_id(spot, "journal").text(), where_of(spot));
      if (journal != nullptr && journal->value) {
        journals.push_back({spot, *journal->value, journal->expanded});
      }
    }
    if (auto mistake = outlier(sources, journals)) {
      mistakes.push_back(std::move(*mistake));
    }
  }
  return mistakes;
}

}  // namespace fettle::stations
