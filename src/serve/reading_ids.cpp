#include "serve/reading_ids.h"

#include <set>
#include <string>

#include <fmt/format.h>

namespace fettle::serve {

void give_ids(nlohmann::json& document) {
  const auto readings = document.is_object() ? document.find("readings") : document.end();
  if (!document.is_object() || readings == document.end() || !readings->is_array()) {
    return;
  }
  std::set<std::string> taken;
  for (const auto& reading : *readings) {
    if (reading.is_object() && reading.contains("id") && reading["id"].is_string()) {
      taken.insert(reading["id"].get<std::string>());
    }
  }
  int next = 1;
  for (auto& reading : *readings) {
    if (!reading.is_object() || reading.contains("id")) {
      continue;
    }
    while (!taken.insert(fmt::format("r{}", next)).second) {
      ++next;
    }
    reading["id"] = fmt::format("r{}", next);
  }
}

}  // namespace fettle::serve
