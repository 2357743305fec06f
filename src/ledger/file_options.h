#pragma once

#include <cstdint>
#include <optional>

namespace fettle::ledger {

/// How a file is opened.
enum class Access {
  create,      ///< read and write; made new when there is none
  read_write,  ///< read and write; it must exist
  read_only,   ///< works on a read-only medium too
};

struct FileOptions {
  Access access = Access::create;
  int busy_timeout_ms = 10000;                ///< how long another process may hold the ledger, > 0
  bool quick_check = true;                    ///< read the whole file at opening and check its structure
  std::optional<std::int64_t> maximum_pages;  ///< an upper bound to the file's pages of 4096 bytes
};

}  // namespace fettle::ledger
