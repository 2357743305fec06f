#include "stations/next_reading.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/findings.h"
#include "build/names.h"
#include "stations/cam_evidence.h"

namespace fettle::stations {
namespace {

using metrology::Verdict;

/// "installed_height" as words: "installed height".
std::string kind_text(build::ReadingKind kind) {
  std::string text(build::word(kind));
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

/// Whether a share stands for a tool, named or not, and not for something assumed.
bool is_tool(const build::Build& build, const std::string& name) {
  return build.tools.contains(name) || name.starts_with("unnamed");
}

/// Where a reading of the short block belongs, as words.
std::string spot_text(const build::Reading& reading) {
  const Spot spot = spot_of(reading);
  switch (spot.kind) {
    case SpotKind::main:
      return fmt::format(" of main {}", spot.number);
    case SpotKind::cylinder:
      return fmt::format(" of cylinder {}", spot.number);
    case SpotKind::piston:
      return fmt::format(" of piston {}", spot.number);
    case SpotKind::engine:
      break;
  }
  return {};
}

std::string reading_text(const build::Reading& reading) {
  switch (reading.kind) {
    case build::ReadingKind::stop_contact:
      return fmt::format("the stop of cylinder {} turning {}", *reading.cylinder,
                         build::word(*reading.turning));
    case build::ReadingKind::tdc_drop:
      return fmt::format("the indicator drop {} TDC on cylinder {}", build::word(*reading.side),
                         *reading.cylinder);
    case build::ReadingKind::tdc_sweep:
      return fmt::format("the sweep through TDC on cylinder {}", *reading.cylinder);
    case build::ReadingKind::lobe_point:
      return fmt::format("the {} flank of the {}", build::word(*reading.side),
                         lobe_text({*reading.cylinder, *reading.valve}));
    case build::ReadingKind::lobe_top:
      return fmt::format("the top of the {}", lobe_text({*reading.cylinder, *reading.valve}));
    case build::ReadingKind::lobe_sweep:
      return fmt::format("the sweep of the {}", lobe_text({*reading.cylinder, *reading.valve}));
    case build::ReadingKind::chain_slack:
      return "the slack of the cam's drive";
    case build::ReadingKind::gasket_crush:
    case build::ReadingKind::gasket_bore:
      return fmt::format("the {}", kind_text(reading.kind));
    case build::ReadingKind::bolt_length:
    case build::ReadingKind::bolt_torque:
    case build::ReadingKind::bolt_turn:
      return fmt::format("the {} of {} {}", kind_text(reading.kind).substr(5), *reading.fastener,
                         *reading.number);
    case build::ReadingKind::part_weight: {
      std::string item(build::word(*reading.item));
      std::replace(item.begin(), item.end(), '_', ' ');
      return fmt::format("the weight of the {}{}", item,
                         reading.cylinder ? fmt::format(" of cylinder {}", *reading.cylinder) : "");
    }
    case build::ReadingKind::chamber_fill:
    case build::ReadingKind::dish_fill:
    case build::ReadingKind::piston_fill:
    case build::ReadingKind::compression_gauge:
    case build::ReadingKind::deck_clearance:
      return fmt::format("the {} of cylinder {}", kind_text(reading.kind), *reading.cylinder);
    default:
      if (!reading.valve) {
        const std::string ring = reading.ring ? fmt::format(" ({} ring)", build::word(*reading.ring)) : "";
        return fmt::format("the {}{}{}", kind_text(reading.kind), ring, spot_text(reading));
      }
      return fmt::format("the {} of the {} valve of cylinder {}", kind_text(reading.kind),
                         build::word(*reading.valve), *reading.cylinder);
  }
}

std::string title_of(const std::string& id) {
  const build::FindingKind* kind = build::finding_kind(id);
  return kind == nullptr ? id : std::string(kind->title);
}

/// Doubt that is left when the part with this share is halved in variance (one more reading of the same
/// worth).
double halved(double expanded, double share) {
  return expanded * std::sqrt(1 - share / 2);
}

NextReading missing_reading(const Finding& open) {
  NextReading next;
  next.says = fmt::format("{}: take {}", title_of(open.id), open.needs);
  next.finding = open.id;
  next.where = open.where;
  return next;
}

NextReading repeat_for(const Sources& sources, const Finding& finding) {
  NextReading next;
  next.finding = finding.id;
  next.where = finding.where;
  next.expanded_from = finding.expanded;
  next.expanded_to = finding.expanded;
  for (const Share& share : finding.shares) {
    const double left = halved(finding.expanded, share.share);
    if (left >= next.expanded_to) {
      continue;
    }
    next.expanded_to = left;
    next.reading = share.reading;
    next.tool = share.tool;
    if (share.reading) {
      const build::Reading& reading = sources.build().readings[static_cast<std::size_t>(*share.reading)];
      next.tool = reading.tool.value_or("");
      next.says = fmt::format("{} is too close to call: take {} once more", title_of(finding.id),
                              reading_text(reading));
    } else if (!is_tool(sources.build(), share.tool)) {
      next.says = fmt::format(
          "{} is too close to call: most of its doubt is {}; state or measure that, where it can be had",
          title_of(finding.id), share.label);
    } else {
      next.says = fmt::format(
          "{} is too close to call: most of its doubt is the {} ({}); use a better one, or set it up anew "
          "and repeat",
          title_of(finding.id), share.label, share.tool);
    }
  }
  return next;
}

}  // namespace

std::optional<NextReading> find_next_reading(const Sources& sources, const Report& report) {
  for (const Finding& finding : report.findings) {
    if (finding.verdict == Verdict::open) {
      return missing_reading(finding);
    }
  }
  std::optional<NextReading> best;
  double best_gain = 0;
  for (const Finding& finding : report.findings) {
    if (finding.verdict != Verdict::too_close || finding.shares.empty()) {
      continue;
    }
    NextReading next = repeat_for(sources, finding);
    const double gain = 1 - next.expanded_to / next.expanded_from;
    if (!next.says.empty() && gain > best_gain) {
      best_gain = gain;
      best = std::move(next);
    }
  }
  return best;
}

}  // namespace fettle::stations
