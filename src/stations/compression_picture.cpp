// The volumes above each piston, stacked.

#include <cmath>
#include <numbers>

#include "stations/compression.h"
#include "stations/compression_state.h"

namespace fettle::stations {

using nlohmann::ordered_json;

ordered_json compression_picture(const Sources& sources, const Report& /*report*/) {
  ordered_json cylinders = ordered_json::array();
  if (!compression_concerns(sources)) {
    return {{"cylinders", std::move(cylinders)}};
  }
  const Observed observed(sources, sources.estimates());
  double swept = 0;
  const auto disc = [](double diameter) { return std::numbers::pi / 4 * diameter * diameter; };
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const CylinderRoom room = cylinder_room(observed, cylinder);
    if (!room.clearance_volume) {
      continue;
    }
    const auto& parts = *room.parts;
    const double gasket = disc(parts.gasket_bore) * parts.gasket;
    const double deck = disc(parts.bore) * parts.deck;
    cylinders.push_back(
        {{"cylinder", cylinder},
         {"parts",
          {{{"id", "chamber"}, {"title", "chamber"}, {"volume", parts.chamber}},
           {{"id", "gasket"}, {"title", "gasket"}, {"volume", gasket}},
           {{"id", "deck"}, {"title", "deck"}, {"volume", deck}},
           {{"id", "crown"}, {"title", parts.dish < 0 ? "dome" : "dish"}, {"volume", parts.dish}},
           {{"id", "land"},
            {"title", "ring land"},
            {"volume", *room.clearance_volume - parts.chamber - gasket - deck - parts.dish}}}},
         {"clearance", *room.clearance_volume},
         {"ratio", *ratio_of(observed, cylinder, room)}});
  }
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    swept += swept_by(observed, cylinder) / sources.phases().cylinders();
  }
  return {{"cylinders", std::move(cylinders)}, {"swept", swept}};
}

}  // namespace fettle::stations
