#pragma once

#include <span>
#include <string_view>

#include "quantity/dimension.h"

namespace fettle::build {

/// One kind of finding: its steady id, its dimension, what tells its instances apart, and what it means.
struct FindingKind {
  std::string_view id;
  quantity::Dimension dimension;
  bool per_cylinder;
  bool per_valve;
  bool per_lift;
  std::string_view title;       ///< as the trade calls it, short
  std::string_view definition;  ///< how it is counted
  bool per_part = false;        ///< of a set of fasteners, a kind of part or a bank
  bool per_main = false;        ///< one for each main bearing
};

/// All findings, station by station in the order of the work (docs/findings.md).
std::span<const FindingKind> finding_kinds();

/// The kind of an id, or null.
const FindingKind* finding_kind(std::string_view id);

}  // namespace fettle::build
