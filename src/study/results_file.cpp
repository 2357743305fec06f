#include "study/results_file.h"

#include <bit>
#include <cmath>
#include <cstring>
#include <limits>

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include "build/codec.h"
#include "build/names.h"
#include "quantity/dimension.h"
#include "study/digest.h"

namespace fettle::study {
namespace {

constexpr int application_id = 0x46745374;  // "FtSt"
constexpr int file_version = 1;

std::string quoted(const std::string& name) {
  std::string text = "\"";
  for (const char c : name) {
    text += c == '"' ? std::string("\"\"") : std::string(1, c);
  }
  return text + '"';
}

/// Names of the columns of `draws` after the first. SQLite does not tell upper from lower case.
std::vector<std::string> column_names(const Plan& plan) {
  std::vector<std::string> names;
  for (const PlannedNumber& number : plan.numbers) {
    names.push_back("in: " + number.name);
  }
  for (const PlannedResult& result : plan.results) {
    names.push_back(result.name);
  }
  return names;
}

const char* word_of(Law::Kind kind) {
  switch (kind) {
    case Law::Kind::values:
      return "list";
    case Law::Kind::rectangular:
      return "rectangular";
    case Law::Kind::triangular:
      return "triangular";
    case Law::Kind::normal:
      break;
  }
  return "normal";
}

template <class Value>
void bind_optional(SQLite::Statement& statement, int place, const std::optional<Value>& value) {
  if (value) {
    statement.bind(place, *value);
  } else {
    statement.bind(place);
  }
}

constexpr const char* tables = R"sql(
CREATE TABLE study (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
CREATE TABLE numbers (number INTEGER PRIMARY KEY, "column" TEXT NOT NULL, path TEXT NOT NULL, unit TEXT NOT NULL,
  base REAL NOT NULL, spread TEXT NOT NULL, least REAL NOT NULL, greatest REAL NOT NULL, sd REAL, meaning TEXT NOT NULL) STRICT;
CREATE TABLE results (result INTEGER PRIMARY KEY, "column" TEXT NOT NULL, finding TEXT NOT NULL, cylinder INTEGER,
  valve TEXT, main INTEGER, part TEXT, number INTEGER, at REAL, unit TEXT NOT NULL, limit_min REAL, limit_max REAL,
  limit_source TEXT) STRICT;
CREATE TABLE chunks (chunk INTEGER PRIMARY KEY, digest TEXT NOT NULL) STRICT;
CREATE TABLE summary (result INTEGER PRIMARY KEY REFERENCES results, draws INTEGER NOT NULL, lost INTEGER NOT NULL,
  mean REAL, sd REAL, q025 REAL, median REAL, q975 REAL, fails REAL, explained REAL) STRICT;
CREATE TABLE shares (result INTEGER NOT NULL REFERENCES results, number INTEGER NOT NULL REFERENCES numbers,
  share REAL NOT NULL, total REAL, PRIMARY KEY (result, number)) STRICT;
)sql";

}  // namespace

struct ResultsFile::State {
  State(const std::string& path, int flags) : database(path, flags, 0) {}
  SQLite::Database database;
  std::unique_ptr<SQLite::Statement> insert_draw, insert_chunk;
};

std::string digest_of_rows(std::span<const double> rows) {
  std::string bytes;
  bytes.reserve(rows.size() * sizeof(double));
  for (const double value : rows) {
    // Byte by byte from the lowest, so that every machine says the same.
    const auto bits =
        std::bit_cast<std::uint64_t>(std::isnan(value) ? std::numeric_limits<double>::quiet_NaN() : value);
    for (unsigned shift = 0; shift < 64; shift += 8) {
      bytes += static_cast<char>((bits >> shift) & 0xFFU);
    }
  }
  Digest digest;
  digest.add(bytes);
  return digest.hex();
}

ResultsFile::ResultsFile(const std::filesystem::path& path, const Plan& plan)
    : plan_(plan), done_(plan.chunks(), false) {
  const std::string name = path.empty() ? ":memory:" : path.string();
  try {
    state_ = std::make_unique<State>(name, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    SQLite::Database& database = state_->database;
    const int most = sqlite3_limit(database.getHandle(), SQLITE_LIMIT_COLUMN, -1);
    if (plan.width() + 1 > static_cast<std::size_t>(most)) {
      throw ResultsError(
          fmt::format("the study has {} numbers and results, more than the {} columns a file of "
                      "results may have; name the findings that are wanted",
                      plan.width(), most - 1));
    }
    // Room for what is written in a second: until it is committed nothing goes to the file, and readers look
    // on.
    database.exec("PRAGMA cache_size = -65536");
    // Held until the end, so that a second writer is told.
    database.exec("BEGIN IMMEDIATE");
    // From here on only readers can be in the way: they are waited for.
    constexpr int patience_ms = 60'000;
    database.setBusyTimeout(patience_ms);
    if (database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt() > 0) {
      take_up();
    } else {
      make();
    }
    std::string sql = "INSERT INTO draws VALUES (?";
    for (std::size_t i = 0; i < plan.width(); ++i) {
      sql += ",?";
    }
    state_->insert_draw = std::make_unique<SQLite::Statement>(database, sql + ")");
    state_->insert_chunk = std::make_unique<SQLite::Statement>(database, "INSERT INTO chunks VALUES (?,?)");
    commit();
  } catch (const SQLite::Exception& error) {
    if (error.getErrorCode() == SQLITE_BUSY) {
      throw ResultsError(fmt::format("{} is being written by another run of the study", name));
    }
    if (error.getErrorCode() == SQLITE_NOTADB) {
      throw ResultsError(fmt::format("{} is no file of results; name another", name));
    }
    throw ResultsError(fmt::format("{}: {}", name, error.what()));
  }
}

ResultsFile::~ResultsFile() = default;

void ResultsFile::make() {
  SQLite::Database& database = state_->database;
  database.exec(fmt::format("PRAGMA application_id = {}", application_id));
  database.exec(fmt::format("PRAGMA user_version = {}", file_version));
  database.exec(tables);
  std::string draws = "CREATE TABLE draws (draw INTEGER PRIMARY KEY";
  const auto names = column_names(plan_);
  for (const std::string& name : names) {
    draws += ", " + quoted(name) + " REAL";
  }
  database.exec(draws + ") STRICT");
  const auto put = [&](const char* key, const std::string& value) {
    SQLite::Statement insert(database, "INSERT INTO study VALUES (?,?)");
    insert.bind(1, key);
    insert.bind(2, value);
    insert.exec();
  };
  put("name", plan_.study.name);
  put("digest", plan_.digest);
  put("build", build::write_build(plan_.build).dump());
  put("draws", std::to_string(plan_.draws));
  put("chunk", std::to_string(plan_.chunk));
  for (std::size_t i = 0; i < plan_.numbers.size(); ++i) {
    const PlannedNumber& number = plan_.numbers[i];
    SQLite::Statement insert(database, "INSERT INTO numbers VALUES (?,?,?,?,?,?,?,?,?,?)");
    insert.bind(1, static_cast<std::int64_t>(i));
    insert.bind(2, names[i]);
    insert.bind(3, number.path);
    insert.bind(4, std::string(quantity::si_unit(number.dimension)));
    insert.bind(5, number.base);
    insert.bind(6, word_of(number.law.kind));
    insert.bind(7, number.law.least());
    insert.bind(8, number.law.greatest());
    if (number.law.kind == Law::Kind::normal) {
      insert.bind(9, number.law.sd);
    }
    insert.bind(10, number.meaning == Meaning::doubted ? "doubted" : "changed");
    insert.exec();
  }
  for (std::size_t i = 0; i < plan_.results.size(); ++i) {
    const PlannedResult& result = plan_.results[i];
    SQLite::Statement insert(database, "INSERT INTO results VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)");
    insert.bind(1, static_cast<std::int64_t>(i));
    insert.bind(2, result.name);
    insert.bind(3, result.id);
    bind_optional(insert, 4, result.where.cylinder);
    if (result.where.valve) {
      insert.bind(5, std::string(build::word(*result.where.valve)));
    }
    bind_optional(insert, 6, result.where.main);
    if (!result.where.part.empty()) {
      insert.bind(7, result.where.part);
    }
    bind_optional(insert, 8, result.where.number);
    bind_optional(insert, 9, result.where.at);
    insert.bind(10, std::string(quantity::si_unit(result.dimension)));
    if (result.limit) {
      bind_optional(insert, 11, result.limit->min);
      bind_optional(insert, 12, result.limit->max);
      insert.bind(13, result.limit->source);
    }
    insert.exec();
  }
}

void ResultsFile::take_up() {
  SQLite::Database& database = state_->database;
  const std::string name = database.getFilename();
  if (database.execAndGet("PRAGMA application_id").getInt() != application_id) {
    throw ResultsError(fmt::format("{} is no file of results; name another", name));
  }
  if (database.execAndGet("PRAGMA user_version").getInt() != file_version) {
    throw ResultsError(fmt::format("{} is of another version of the program; name another", name));
  }
  if (database.execAndGet("SELECT value FROM study WHERE key = 'digest'").getString() != plan_.digest) {
    throw ResultsError(fmt::format(
        "{} holds the results of another study, or of this one before it was changed; name another "
        "file",
        name));
  }
  SQLite::Statement chunks(database, "SELECT chunk FROM chunks");
  while (chunks.executeStep()) {
    const auto chunk = static_cast<std::uint64_t>(chunks.getColumn(0).getInt64());
    if (chunk < done_.size() && !done_[chunk]) {
      done_[chunk] = true;
      ++chunks_done_;
    }
  }
}

void ResultsFile::put(const ChunkRows& rows) {
  if (done_[rows.chunk]) {
    return;
  }
  const std::size_t width = plan_.width();
  SQLite::Statement& insert = *state_->insert_draw;
  std::uint64_t draw = plan_.first(rows.chunk);
  for (std::size_t at = 0; at < rows.rows.size(); at += width, ++draw) {
    insert.bind(1, static_cast<std::int64_t>(draw));
    for (std::size_t i = 0; i < width; ++i) {
      const int place = static_cast<int>(i) + 2;
      if (std::isnan(rows.rows[at + i])) {
        insert.bind(place);
      } else {
        insert.bind(place, rows.rows[at + i]);
      }
    }
    insert.exec();
    insert.reset();
  }
  SQLite::Statement& chunk = *state_->insert_chunk;
  chunk.bind(1, static_cast<std::int64_t>(rows.chunk));
  chunk.bind(2, digest_of_rows(rows.rows));
  chunk.exec();
  chunk.reset();
  done_[rows.chunk] = true;
  ++chunks_done_;
}

void ResultsFile::commit() {
  state_->database.exec("COMMIT");
  state_->database.exec("BEGIN IMMEDIATE");
}

Eigen::MatrixXd ResultsFile::columns(std::size_t first, std::size_t count) const {
  const auto names = column_names(plan_);
  std::string sql = "SELECT draw";
  for (std::size_t i = first; i < first + count; ++i) {
    sql += ", " + quoted(names[i]);
  }
  Eigen::MatrixXd values(static_cast<Eigen::Index>(plan_.draws), static_cast<Eigen::Index>(count));
  SQLite::Statement select(state_->database, sql + " FROM draws ORDER BY draw");
  for (Eigen::Index row = 0; select.executeStep() && row < values.rows(); ++row) {
    for (Eigen::Index i = 0; i < values.cols(); ++i) {
      const SQLite::Column column = select.getColumn(static_cast<int>(i) + 1);
      values(row, i) = column.isNull() ? std::numeric_limits<double>::quiet_NaN() : column.getDouble();
    }
  }
  return values;
}

std::string ResultsFile::digest() const {
  Digest digest;
  SQLite::Statement chunks(state_->database, "SELECT digest FROM chunks ORDER BY chunk");
  while (chunks.executeStep()) {
    digest.add(chunks.getColumn(0).getString());
  }
  return digest.hex();
}

void ResultsFile::put_summary(const Summary& summary) {
  SQLite::Database& database = state_->database;
  database.exec("DELETE FROM shares; DELETE FROM summary");
  SQLite::Statement insert(database, "INSERT INTO summary VALUES (?,?,?,?,?,?,?,?,?,?)");
  SQLite::Statement share(database, "INSERT INTO shares VALUES (?,?,?,?)");
  for (std::size_t i = 0; i < summary.results.size(); ++i) {
    const ResultSummary& result = summary.results[i];
    const auto number_of_result = static_cast<std::int64_t>(i);
    insert.bind(1, number_of_result);
    insert.bind(2, static_cast<std::int64_t>(result.statistics.draws));
    insert.bind(3, static_cast<std::int64_t>(result.statistics.lost));
    bind_optional(insert, 4, result.statistics.mean);
    bind_optional(insert, 5, result.statistics.sd);
    bind_optional(insert, 6, result.statistics.low);
    bind_optional(insert, 7, result.statistics.median);
    bind_optional(insert, 8, result.statistics.high);
    bind_optional(insert, 9, result.fails);
    bind_optional(insert, 10, result.explained);
    insert.exec();
    insert.reset();
    for (std::size_t n = 0; n < result.share.size(); ++n) {
      share.bind(1, number_of_result);
      share.bind(2, static_cast<std::int64_t>(n));
      share.bind(3, result.share[n]);
      bind_optional(share, 4,
                    n < result.total_share.size() ? std::optional(result.total_share[n]) : std::nullopt);
      share.exec();
      share.reset();
    }
  }
  commit();
}

}  // namespace fettle::study
