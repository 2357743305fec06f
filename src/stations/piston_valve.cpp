#include "stations/piston_valve.h"

namespace fettle::stations {

std::vector<Group> piston_valve_station(const Sources& /*sources*/) {
  return {};
}

std::vector<Missing> piston_valve_missing(const Sources& /*sources*/) {
  return {};
}

std::vector<Mistake> piston_valve_mistakes(const Sources& /*sources*/, const Report& /*report*/,
                                           const std::vector<Mistake>& /*earlier*/) {
  return {};
}

std::vector<Change> piston_valve_changes(const Sources& /*sources*/, const Report& /*report*/) {
  return {};
}

nlohmann::ordered_json piston_valve_picture(const Sources& /*sources*/, const Report& /*report*/) {
  return nlohmann::ordered_json::object();
}

}  // namespace fettle::stations
