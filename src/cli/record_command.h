#pragma once

#include <istream>
#include <ostream>
#include <string>

#include "cli/prove_command.h"
#include "quantity/print.h"

namespace fettle::cli {

struct RecordRequest {
  std::string path;    ///< the build; "-": standard input
  std::string output;  ///< "-": standard output
  std::string shop;
  std::string key;  ///< file with the shop's key, to sign with; empty: not signed
  quantity::System system = quantity::System::inch;

  std::string verify;    ///< a record to be checked instead
  std::string open_key;  ///< whose signature it has to carry; empty: anybody's or none
  std::string new_key;   ///< file to make a new key in instead
};

/// Writes a record, checks one, or makes a shop's key. Exit codes: 0 done (a record checked is unaltered and,
/// where a key was named, signed with it), 1 it is not so, 2 bad input.
ExitCode record_command(const RecordRequest& request, std::istream& in, std::ostream& out, std::ostream& err);

}  // namespace fettle::cli
