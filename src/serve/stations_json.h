#pragma once

#include <nlohmann/json.hpp>

namespace fettle::serve {

/// The stations as GET /api/stations lists them: texts, forms of the readings, findings.
nlohmann::ordered_json stations_json();

}  // namespace fettle::serve
