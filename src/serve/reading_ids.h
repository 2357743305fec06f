#pragma once

#include <nlohmann/json.hpp>

namespace fettle::serve {

/// Gives every reading that has no `id` one that no other reading has, r1, r2 and so on, so that it can be
/// addressed. Leaves alone whatever does not look like a document with readings.
void give_ids(nlohmann::json& document);

}  // namespace fettle::serve
