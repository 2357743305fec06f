// Clearance of every bearing against its band, each way it was come by.

#include "stations/bottom_end.h"
#include "stations/bottom_end_state.h"

namespace fettle::stations {
namespace {

using nlohmann::ordered_json;

ordered_json optional_json(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json one_bearing(const Observed& observed, const Report& report, const Spot& spot) {
  const Finding* clearance = find(report, bearing_id(spot, "clearance").text(), where_of(spot));
  if (clearance == nullptr || !clearance->value) {
    return nullptr;
  }
  const BearingState state = bearing_state(observed, spot);
  const ShellSizes shells = fitted_shells(observed.build(), spot);
  ordered_json json{{"number", spot.number},
                    {"clearance", *clearance->value},
                    {"expanded", clearance->expanded},
                    {"direct", optional_json(state.direct())},
                    {"crossed", optional_json(state.crossed())},
                    {"strip", optional_json(state.strip)},
                    {"shells", {shells.upper, shells.lower}}};
  json["limit"] = nullptr;
  if (clearance->limit) {
    json["limit"] = {{"min", optional_json(clearance->limit->min)},
                     {"max", optional_json(clearance->limit->max)}};
  }
  return json;
}

}  // namespace

ordered_json bottom_end_picture(const Sources& sources, const Report& report) {
  const Observed observed(sources, sources.estimates());
  ordered_json picture{{"mains", ordered_json::array()}, {"rods", ordered_json::array()}};
  for (const Spot& spot : all_bearings(sources)) {
    if (auto one = one_bearing(observed, report, spot); !one.is_null()) {
      picture[spot.kind == SpotKind::main ? "mains" : "rods"].push_back(std::move(one));
    }
  }
  return picture;
}

}  // namespace fettle::stations
