// Writes a source file that embeds the files of a folder: embed OUT.cpp FUNCTION ENDING FOLDER
// The bytes themselves are taken in by the assembler (.incbin), compressed copies beside OUT.cpp. ENDING ""
// takes all files; no FOLDER, or none there, gives a source that embeds nothing.
#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <openssl/sha.h>
#include <zlib.h>

namespace {

namespace fs = std::filesystem;

std::string read_file(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  if (!stream) {
    throw std::runtime_error(fmt::format("{} cannot be read", file.string()));
  }
  return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

void write_file(const fs::path& file, const std::string& bytes) {
  std::ofstream stream(file, std::ios::binary);
  stream << bytes;
  stream.close();
  if (!stream) {
    throw std::runtime_error(fmt::format("{} cannot be written", file.string()));
  }
}

/// RFC 1952, without a time or a name, so that equal bytes give equal bytes.
std::string gzip(const std::string& bytes) {
  z_stream stream{};
  constexpr int gzip_window = 15 + 16;
  if (deflateInit2(&stream, Z_BEST_COMPRESSION, Z_DEFLATED, gzip_window, 9, Z_DEFAULT_STRATEGY) != Z_OK) {
    throw std::runtime_error("zlib cannot begin");
  }
  std::string out(deflateBound(&stream, static_cast<uLong>(bytes.size())) + 64, '\0');
  std::string in = bytes;  // zlib takes pointers to what it does not change
  stream.next_in = reinterpret_cast<Bytef*>(in.data());
  stream.avail_in = static_cast<uInt>(in.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  const int end = deflate(&stream, Z_FINISH);
  out.resize(stream.total_out);
  deflateEnd(&stream);
  if (end != Z_STREAM_END) {
    throw std::runtime_error("zlib cannot compress");
  }
  return out;
}

std::string tag_of(const std::string& bytes) {
  std::array<unsigned char, SHA256_DIGEST_LENGTH> digest{};
  SHA256(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(), digest.data());
  std::string text;
  for (std::size_t i = 0; i < digest.size() / 2; ++i) {
    text += fmt::format("{:02x}", digest[i]);
  }
  return text;
}

struct File {
  std::string path;  // within the folder, with a leading slash
  fs::path raw;
  std::optional<fs::path> packed;
  std::string tag;
};

std::vector<File> files_of(const fs::path& folder, const std::string& ending, const fs::path& beside) {
  std::vector<File> files;
  if (folder.empty() || !fs::is_directory(folder)) {
    return files;
  }
  for (const auto& found : fs::recursive_directory_iterator(folder)) {
    const std::string path = "/" + fs::relative(found.path(), folder).generic_string();
    if (found.is_regular_file() && path.size() >= ending.size() &&
        path.substr(path.size() - ending.size()) == ending) {
      files.push_back({path, fs::absolute(found.path()), std::nullopt, ""});
    }
  }
  std::sort(files.begin(), files.end(), [](const File& a, const File& b) { return a.path < b.path; });
  for (std::size_t i = 0; i < files.size(); ++i) {
    const std::string bytes = read_file(files[i].raw);
    const std::string packed = gzip(bytes);
    files[i].tag = tag_of(bytes);
    if (packed.size() * 10 < bytes.size() * 9) {
      files[i].packed = fs::absolute(beside.string() + fmt::format(".{}.gz", i));
      write_file(*files[i].packed, packed);
    }
  }
  return files;
}

std::string blob(const std::string& symbol, const fs::path& file) {
  const std::string name = file.string();
  if (name.find_first_of("\"\\\n") != std::string::npos) {
    throw std::runtime_error(fmt::format("{}: a name the assembler cannot take", name));
  }
  return fmt::format(
      "asm(\".section .rodata\\n.balign 16\\n{0}:\\n.incbin \\\"{1}\\\"\\n{0}_end:\\n.byte 0\\n.text\\n\");\n"
      "extern \"C\" const char {0}[];\nextern \"C\" const char {0}_end[];\n",
      symbol, name);
}

std::string source_of(const std::string& function, const std::vector<File>& files) {
  std::string text =
      "// Written by embed; not to be edited.\n#include \"serve/assets.h\"\n\n#include <array>\n\n";
  std::string table;
  for (std::size_t i = 0; i < files.size(); ++i) {
    const std::string raw = fmt::format("fettle_{}_{}", function, i);
    const std::string packed = raw + "_gz";
    text += blob(raw, files[i].raw);
    text += files[i].packed ? blob(packed, *files[i].packed) : "";
    const auto view = [](const std::string& symbol) {
      return fmt::format("std::string_view({0}, static_cast<std::size_t>({0}_end - {0}))", symbol);
    };
    table += fmt::format("      Asset{{\"{}\", {}, {}, \"{}\"}},\n", files[i].path, view(raw),
                         files[i].packed ? view(packed) : "std::string_view()", files[i].tag);
  }
  text += "\nnamespace fettle::serve {\n\n";
  text += fmt::format(
      "std::span<const Asset> {}() {{\n  static const std::array<Asset, {}> assets{{{{\n{}  }}}};\n  return "
      "assets;\n}}\n",
      function, files.size(), table);
  if (files.empty()) {
    return fmt::format(
        "// Written by embed; not to be edited.\n#include \"serve/assets.h\"\n\nnamespace fettle::serve "
        "{{\n\n"
        "std::span<const Asset> {}() {{ return {{}}; }}\n\n}}  // namespace fettle::serve\n",
        function);
  }
  return text + "\n}  // namespace fettle::serve\n";
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  if (arguments.size() < 3 || arguments.size() > 4) {
    std::cerr << "usage: embed OUT.cpp FUNCTION ENDING [FOLDER]\n";
    return 2;
  }
  try {
    const fs::path out = arguments[0];
    const auto files =
        files_of(arguments.size() == 4 ? fs::path(arguments[3]) : fs::path(), arguments[2], out);
    write_file(out, source_of(arguments[1], files));
    return 0;
  } catch (const std::exception& error) {
    std::cerr << "embed: " << error.what() << '\n';
    return 1;
  }
}
