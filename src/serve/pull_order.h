#pragma once

#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "ledger/ledger.h"
#include "pull/pull.h"
#include "serve/body.h"

namespace fettle::serve {

/// How much one pull may take, and all of them together.
struct PullBounds {
  std::size_t variants = 9;
  std::size_t points = 160;  ///< speeds times variants; a point kept with its trace takes 50 kB
  std::size_t waiting = 4;   ///< pulls not begun yet
  std::size_t kept = 8;      ///< pulls that have ended
};

/// One curve of a pull.
struct PullVariant {
  std::string title;
  double cam = 0.0;                           ///< crank rad by which the cam stands earlier than fitted
  std::vector<ledger::Operation> operations;  ///< tried on the engine's document; none: as it stands
};

/// What was asked for.
struct PullOrder {
  pull::PullOptions options;  ///< but for cam, threads, progress and cancel
  std::vector<PullVariant> variants;

  [[nodiscard]] std::size_t speeds() const { return pull::speeds_of(options).size(); }
};

/// Takes an order from a request's body (docs/api.md, "The pull"); what is wrong with it is noted there.
PullOrder read_order(Body& body, const PullBounds& bounds);

/// The same members as they came, in SI.
nlohmann::ordered_json order_json(const PullOrder& order);

}  // namespace fettle::serve
