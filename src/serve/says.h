#pragma once

#include <string>

#include "ledger/entry.h"

namespace fettle::serve {

/// An entry in a few words, for the button that takes it back: "reading r17, wheel: 0 deg -> 41 deg".
std::string says(const ledger::Entry& entry);

}  // namespace fettle::serve
