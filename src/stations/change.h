#pragma once

#include <string>
#include <vector>

#include "stations/observed.h"
#include "stations/report.h"

namespace fettle::stations {

/// Something the builder can change, before its effects are known: what is said of it, what it writes into
/// the document when accepted, and how it acts on the readings.
struct Change {
  std::string id;  ///< begins with its station's id
  std::string says;
  std::vector<Operation> operations;
  WhatIf what_if;
};

}  // namespace fettle::stations
