// Each bore by depth and direction, with its piston.

#include "stations/bore.h"
#include "stations/bore_state.h"

namespace fettle::stations {
namespace {

using nlohmann::ordered_json;

ordered_json optional_json(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json one_bore(const Observed& observed, const Report& report, int cylinder) {
  const BoreState state = bore_state(observed, cylinder);
  if (state.points.empty()) {
    return nullptr;
  }
  ordered_json json{{"cylinder", cylinder}, {"points", ordered_json::array()}};
  for (const DiameterAt& point : state.points) {
    json["points"].push_back({{"along", optional_json(point.along)},
                              {"around", optional_json(point.around)},
                              {"diameter", point.diameter}});
  }
  json["piston"] = optional_json(state.piston);
  json["piston_mark"] = piston_in(observed.build(), cylinder);
  const Finding* clearance = find(report, "bore.piston_clearance", {cylinder, {}, {}});
  const bool limited = clearance != nullptr && clearance->limit;
  json["limit"] = nullptr;
  if (limited) {
    json["limit"] = {{"min", optional_json(clearance->limit->min)},
                     {"max", optional_json(clearance->limit->max)}};
  }
  return json;
}

}  // namespace

ordered_json bore_picture(const Sources& sources, const Report& report) {
  const Observed observed(sources, sources.estimates());
  ordered_json bores = ordered_json::array();
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    if (auto one = one_bore(observed, report, cylinder); !one.is_null()) {
      bores.push_back(std::move(one));
    }
  }
  return {{"bores", std::move(bores)}};
}

}  // namespace fettle::stations
