#pragma once

#include <map>
#include <optional>
#include <span>

#include "stations/lobe_state.h"
#include "stations/observed.h"

namespace fettle::stations {

/// Every lobe as it stands at the estimates, and which inputs it looked at. While one input after the other
/// is moved to see what comes of it, the lobes that do not look at it need not be worked out again.
class LobeMemo {
 public:
  explicit LobeMemo(const Sources& sources);

  /// The lobe at the estimates, where none of the inputs that were moved is one of its own; else null.
  const std::optional<LobeState>* unmoved(const LobeKey& key, std::span<const std::size_t> moved) const;

 private:
  struct Standing {
    std::optional<LobeState> state;
    Used used;
  };
  std::map<LobeKey, Standing> lobes_;
};

}  // namespace fettle::stations
