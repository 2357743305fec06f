#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "serve/pulls.h"

namespace fettle::serve {

/// How a pull stands (docs/api.md, "The pull"). `version` is the engine's now: an older pull is stale.
nlohmann::ordered_json standing_json(const PullStanding& standing, ledger::EntryNumber version);

/// What listeners are told: the same without its order, with the point just run.
nlohmann::ordered_json news_json(const PullStanding& standing);

/// One object a variant, as `fettle pull --json` prints it for one curve, without traces.
nlohmann::ordered_json results_json(const PullResults& results);

}  // namespace fettle::serve
