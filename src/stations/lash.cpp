#include "stations/lash.h"

namespace fettle::stations {

std::vector<Group> lash_station(const Sources& /*sources*/) {
  return {};
}

std::vector<Missing> lash_missing(const Sources& /*sources*/) {
  return {};
}

std::vector<Mistake> lash_mistakes(const Sources& /*sources*/, const Report& /*report*/,
                                   const std::vector<Mistake>& /*earlier*/) {
  return {};
}

std::vector<Change> lash_changes(const Sources& /*sources*/, const Report& /*report*/) {
  return {};
}

nlohmann::ordered_json lash_picture(const Sources& /*sources*/, const Report& /*report*/) {
  return nlohmann::ordered_json::object();
}

}  // namespace fettle::stations
