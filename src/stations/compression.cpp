#include "stations/compression.h"

#include <algorithm>
#include <stdexcept>

#include "stations/compression_state.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;

Where of_cylinder(int cylinder) {
  return {cylinder, {}, {}};
}

Group volume_group(int cylinder) {
  return {[cylinder](const Observed& observed) {
    std::vector<Valued> values;
    const Where where = of_cylinder(cylinder);
    const CylinderRoom room = cylinder_room(observed, cylinder);
    if (room.chamber) {
      values.push_back(
          {{"compression.chamber", where, std::string(room.chamber->basis)}, room.chamber->value});
    }
    if (room.crown) {
      values.push_back({{"compression.crown", where, std::string(room.crown->basis)}, room.crown->value});
    }
    if (room.deck && room.gasket) {
      const std::string basis(room.deck->basis.empty() ? room.gasket->basis : room.deck->basis);
      values.push_back({{"compression.quench", where, basis}, room.deck->value + room.gasket->value});
    }
    if (room.clearance_volume) {
      values.push_back({{"compression.clearance_volume", where, room.basis()}, *room.clearance_volume});
      values.push_back(
          {{"compression.static_ratio", where, room.basis()}, *ratio_of(observed, cylinder, room)});
    }
    return values;
  }};
}

/// Greatest pressure of cranking above the air's; nothing where the leak lets none build up.
std::optional<double> cranking_gauge(const Observed& observed, double bore, double clearance,
                                     double closing) {
  const mechanism::Cranking cranking = cranking_of(observed);
  try {
    return mechanism::cranking_pressure(observed.sources().crank(), bore, clearance, closing, cranking) -
           cranking.ambient_pressure;
  } catch (const std::invalid_argument&) {
    return std::nullopt;
  }
}

Group pressure_group(int cylinder) {
  return {[cylinder](const Observed& observed) {
    std::vector<Valued> values;
    const Where where = of_cylinder(cylinder);
    const auto gauge =
        mean_amount(observed, readings_of(observed.sources(), ReadingKind::compression_gauge, cylinder),
                    Amount::pressure);
    if (gauge) {
      values.push_back({{"compression.gauge_pressure", where, ""}, *gauge});
    }
    const CylinderRoom room = cylinder_room(observed, cylinder);
    TdcOfWheels tdc_of(observed);
    const auto closing = intake_closing(observed, cylinder, tdc_of);
    if (!room.clearance_volume || !closing) {
      return values;
    }
    const double ratio = mechanism::effective_ratio(observed.sources().crank(), room.bore.value,
                                                    *room.clearance_volume, closing->angle);
    values.push_back({{"compression.effective_ratio", where, closing->basis}, ratio});
    if (const auto reckoned =
            cranking_gauge(observed, room.bore.value, *room.clearance_volume, closing->angle)) {
      values.push_back({{"compression.cranking_pressure", where, closing->basis}, *reckoned});
      if (gauge) {
        values.push_back({{"compression.gauge_error", where, closing->basis}, *gauge - *reckoned});
      }
    }
    return values;
  }};
}

struct Ends {
  double least = 0;
  double greatest = 0;
};

/// Least and greatest over the cylinders for which `look` gives something, where two or more do.
template <class Look>
std::optional<Ends> ends_of(const Observed& observed, Look look) {
  std::vector<double> all;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    if (const std::optional<double> value = look(cylinder)) {
      all.push_back(*value);
    }
  }
  if (all.size() < 2) {
    return std::nullopt;
  }
  const auto [least, greatest] = std::minmax_element(all.begin(), all.end());
  return Ends{*least, *greatest};
}

/// Mean over the cylinders.
Valued displacement(const Observed& observed) {
  const int cylinders = observed.sources().phases().cylinders();
  double sum = 0;
  int read = 0;
  for (int cylinder = 1; cylinder <= cylinders; ++cylinder) {
    sum += swept_by(observed, cylinder);
    read += bore_of(observed, cylinder).basis.empty() ? 0 : 1;
  }
  return {{"compression.displacement", {}, read > 0 ? "mean of the cylinders, bores as read" : ""},
          sum / cylinders};
}

Group spread_group() {
  return {[](const Observed& observed) {
    std::vector<Valued> values{displacement(observed)};
    const auto chambers = ends_of(observed, [&](int cylinder) -> std::optional<double> {
      const auto chamber = cylinder_room(observed, cylinder).chamber;
      return chamber && chamber->basis.empty() ? std::optional(chamber->value) : std::nullopt;
    });
    if (chambers) {
      values.push_back({{"compression.chamber_spread", {}, ""}, chambers->greatest - chambers->least});
    }
    const auto ratios = ends_of(observed, [&](int cylinder) {
      return ratio_of(observed, cylinder, cylinder_room(observed, cylinder));
    });
    if (ratios) {
      values.push_back({{"compression.ratio_spread", {}, ""}, ratios->greatest - ratios->least});
    }
    const auto gauges = ends_of(observed, [&](int cylinder) {
      return mean_amount(observed, readings_of(observed.sources(), ReadingKind::compression_gauge, cylinder),
                         Amount::pressure);
    });
    if (gauges && gauges->greatest > 0) {
      values.push_back({{"compression.gauge_part", {}, ""}, gauges->least / gauges->greatest});
    }
    return values;
  }};
}

}  // namespace

std::vector<Group> compression_station(const Sources& sources) {
  std::vector<Group> groups;
  if (!compression_concerns(sources)) {
    return groups;
  }
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    groups.push_back(volume_group(cylinder));
    groups.push_back(pressure_group(cylinder));
  }
  groups.push_back(spread_group());
  return groups;
}

std::vector<Missing> compression_missing(const Sources& sources) {
  std::vector<Missing> missing;
  if (!compression_concerns(sources)) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const CylinderRoom room = cylinder_room(observed, cylinder);
    if (!room.clearance_volume) {
      missing.push_back({{"compression.static_ratio", of_cylinder(cylinder), ""},
                         !room.chamber  ? "the volume of the chamber by burette"
                         : !room.crown  ? "the volume of the crown: poured, or 0 for a flat top"
                         : !room.deck   ? "the deck clearance over the pin"
                         : !room.gasket ? "the thickness of the crushed gasket"
                                        : "volumes that leave room above the piston"});
    } else if (!intake_closing(observed, cylinder, tdc_of)) {
      missing.push_back({{"compression.effective_ratio", of_cylinder(cylinder), ""},
                         "the intake's closing near the seat (0.006 in), and true TDC"});
    }
    if (!room.deck || !room.gasket) {
      missing.push_back(
          {{"compression.quench", of_cylinder(cylinder), ""},
           !room.deck ? "the deck clearance over the pin" : "the thickness of the crushed gasket"});
    }
  }
  return missing;
}

}  // namespace fettle::stations
