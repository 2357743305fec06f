#pragma once

#include <span>
#include <string_view>

#include "serve/answer.h"

namespace fettle::serve {

/// A file embedded in the program when it was built.
struct Asset {
  std::string_view path;  ///< "/assets/index-1a2b.js"
  std::string_view bytes;
  std::string_view gzipped;  ///< the same, compressed; empty where that does not pay
  std::string_view tag;      ///< of the content: first half of its SHA-256 in hex
};

/// The files of the page, sorted by path; none when the page was not built. Generated
/// (cmake/FettleEmbed.cmake).
std::span<const Asset> page_assets();
/// The example builds, sorted by path. Generated.
std::span<const Asset> example_assets();

/// The page's file at `path` ("/" is index.html), or 404; without a built page, a plain one that says how to
/// build it.
/// @param accept_encoding, if_none_match the request's headers
Answer page_answer(std::string_view path, std::string_view accept_encoding, std::string_view if_none_match);

}  // namespace fettle::serve
