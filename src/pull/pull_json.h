#pragma once

#include <nlohmann/json.hpp>

#include "pull/pull.h"

namespace fettle::pull {

/// The result as JSON, SI units and radians (docs/pull.md names the keys). Numbers that are not there are
/// null.
enum class Traces { with, left_out };
nlohmann::ordered_json pull_json(const PullResult& result, Traces traces = Traces::with);

nlohmann::ordered_json trace_json(const Trace& trace);
nlohmann::ordered_json assumptions_json(const std::vector<Assumption>& assumptions);

}  // namespace fettle::pull
