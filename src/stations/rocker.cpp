#include "stations/rocker.h"

namespace fettle::stations {

std::vector<Group> rocker_station(const Sources& /*sources*/) {
  return {};
}

std::vector<Missing> rocker_missing(const Sources& /*sources*/) {
  return {};
}

std::vector<Mistake> rocker_mistakes(const Sources& /*sources*/, const Report& /*report*/,
                                     const std::vector<Mistake>& /*earlier*/) {
  return {};
}

std::vector<Change> rocker_changes(const Sources& /*sources*/, const Report& /*report*/) {
  return {};
}

nlohmann::ordered_json rocker_picture(const Sources& /*sources*/, const Report& /*report*/) {
  return nlohmann::ordered_json::object();
}

}  // namespace fettle::stations
