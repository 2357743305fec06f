#include "serve/assets.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "quantity/text.h"

namespace fettle::serve {
namespace {

struct Kind {
  std::string_view ending;
  std::string_view type;
};
constexpr std::array kinds{Kind{".html", "text/html; charset=utf-8"},
                           Kind{".js", "text/javascript; charset=utf-8"},
                           Kind{".css", "text/css; charset=utf-8"},
                           Kind{".svg", "image/svg+xml"},
                           Kind{".png", "image/png"},
                           Kind{".ico", "image/x-icon"},
                           Kind{".woff2", "font/woff2"},
                           Kind{".json", "application/json"},
                           Kind{".txt", "text/plain; charset=utf-8"},
                           Kind{".webmanifest", "application/manifest+json"}};

std::string_view type_of(std::string_view path) {
  for (const Kind& kind : kinds) {
    if (path.ends_with(kind.ending)) {
      return kind.type;
    }
  }
  return "application/octet-stream";
}

constexpr std::string_view no_page =
    R"(<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Fettle</title></head>
<body><h1>Fettle</h1>
<p>The server runs, but this program was built without the page.</p>
<p>To build it, install Node.js with npm, then configure and build again:</p>
<pre>cmake --preset release -DFETTLE_WEB=ON
cmake --build build/release</pre>
<p>The interface under <a href="/api/engines">/api/</a> works without it; docs/api.md describes it.</p>
</body></html>
)";

/// Whether a list of codings ("gzip, br;q=0.5") takes gzip: named, and not with a weight of nought.
bool takes_gzip(std::string_view accepted) {
  while (!accepted.empty()) {
    const auto end = std::min(accepted.find(','), accepted.size());
    std::string_view one = accepted.substr(0, end);
    accepted.remove_prefix(std::min(end + 1, accepted.size()));
    one.remove_prefix(std::min(one.find_first_not_of(' '), one.size()));
    const auto name = one.substr(0, one.find_first_of("; "));
    if (name == "gzip" || name == "*") {
      const auto weight = one.find("q=");
      return weight == std::string_view::npos ||
             one.find_first_of("123456789", weight) != std::string_view::npos;
    }
  }
  return false;
}

}  // namespace

Answer page_answer(std::string_view path, std::string_view accept_encoding, std::string_view if_none_match) {
  const auto assets = page_assets();
  if (path == "/") {
    path = "/index.html";
  }
  if (assets.empty() && path == "/index.html") {
    return {200, std::string(type_of(path)), std::string(no_page), {{"Cache-Control", "no-cache"}}};
  }
  const auto found =
      std::lower_bound(assets.begin(), assets.end(), path,
                       [](const Asset& asset, std::string_view wanted) { return asset.path < wanted; });
  if (found == assets.end() || found->path != path) {
    return error_answer(404, "not_found", fmt::format("There is nothing at {}.", quantity::shown_text(path)));
  }
  // The name of a file under /assets/ changes with its content, so it need never be asked for again.
  const bool immutable = path.starts_with("/assets/");
  const bool gzip = !found->gzipped.empty() && takes_gzip(accept_encoding);
  const std::string tag = fmt::format("\"{}{}\"", found->tag, gzip ? "-gz" : "");
  Answer answer{
      200,
      std::string(type_of(path)),
      {},
      {{"Cache-Control", immutable ? "public, max-age=31536000, immutable" : "no-cache"}, {"ETag", tag}}};
  if (!found->gzipped.empty()) {
    answer.headers.emplace_back("Vary", "Accept-Encoding");
  }
  if (if_none_match.find(tag) != std::string_view::npos) {
    answer.status = 304;
    return answer;
  }
  if (gzip) {
    answer.headers.emplace_back("Content-Encoding", "gzip");
  }
  answer.body = gzip ? found->gzipped : found->bytes;
  return answer;
}

}  // namespace fettle::serve
