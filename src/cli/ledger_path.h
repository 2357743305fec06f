#pragma once

#include <filesystem>
#include <string>

namespace fettle::cli {

/// $XDG_DATA_HOME/fettle/ledger.fettle, or ~/.local/share/fettle/ledger.fettle (XDG Base Directory Specification).
/// @throws std::runtime_error when neither is known
std::filesystem::path default_ledger();

/// The ledger named, or the default one, whose folder is made.
std::filesystem::path ledger_or_default(const std::string& named);

}  // namespace fettle::cli
