#pragma once

#include <iosfwd>
#include <string>

namespace fettle::cli {

struct LedgerRequest {
  std::string ledger;  ///< empty: default_ledger()
  bool json = false;
  std::string engine;  ///< export: id, or a name that only one engine has
  std::string file;    ///< import from, export to, backup to; "-" or empty: standard input or output
  bool history = false;
  bool archived = false;
  std::string by;
};

/// Each returns the exit code: 0 done, 1 the ledger is not sound (check) or the thing is not there, 2 it could not be done.
/// Throw ledger::LedgerError when the ledger's file fails them.
int ledger_list(const LedgerRequest& request, std::ostream& out);
int ledger_export(const LedgerRequest& request, std::ostream& out, std::ostream& err);
int ledger_import(const LedgerRequest& request, std::istream& in, std::ostream& out, std::ostream& err);
int ledger_backup(const LedgerRequest& request, std::ostream& out);
int ledger_check(const LedgerRequest& request, std::ostream& out);

}  // namespace fettle::cli
