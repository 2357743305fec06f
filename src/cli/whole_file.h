#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace fettle::cli {

/// Writes a file so that under its name there is what was there before or all of the new, never a part: under another
/// name beside it, synced, then renamed.
/// @returns what went wrong and what to do, or nothing
std::optional<std::string> write_whole_file(const std::filesystem::path& file, std::string_view bytes);

}  // namespace fettle::cli
