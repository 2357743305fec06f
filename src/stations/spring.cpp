#include "stations/spring.h"

namespace fettle::stations {

std::vector<Group> spring_station(const Sources& /*sources*/) {
  return {};
}

std::vector<Missing> spring_missing(const Sources& /*sources*/) {
  return {};
}

std::vector<Mistake> spring_mistakes(const Sources& /*sources*/, const Report& /*report*/,
                                     const std::vector<Mistake>& /*earlier*/) {
  return {};
}

std::vector<Change> spring_changes(const Sources& /*sources*/, const Report& /*report*/) {
  return {};
}

nlohmann::ordered_json spring_picture(const Sources& /*sources*/, const Report& /*report*/) {
  return nlohmann::ordered_json::object();
}

}  // namespace fettle::stations
