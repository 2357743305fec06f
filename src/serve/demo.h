#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "ledger/ledger.h"

namespace fettle::serve {

struct DemoResult {
  int engines = 0;
  std::vector<std::string> problems;  ///< what is wrong with the examples, each naming its file
};

/// Puts the example builds into a ledger that holds no engine; one that does is left alone.
/// @param folder of *.json to take them from; empty: those embedded in the program
DemoResult load_demo(ledger::Ledger& ledger, const std::filesystem::path& folder);

}  // namespace fettle::serve
