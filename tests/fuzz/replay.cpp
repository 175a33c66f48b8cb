// Feeds files, and all files of folders, to a fuzz target: for compilers that have no fuzzer.
#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "tests/fuzz/target.hpp"

namespace {

namespace fs = std::filesystem;

void feed(const fs::path& path) {
    std::ifstream stream(path, std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(stream), {}};
    std::printf("%s\n", path.filename().string().c_str());  // the last one said is the one that failed
    std::fflush(stdout);
    LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
}

}  // namespace

int main(int count, char** arguments) {
    std::vector<fs::path> files;
    for (int i = 1; i < count; ++i) {
        const fs::path given = arguments[i];
        if (!fs::exists(given)) {
            std::fprintf(stderr, "%s is not there\n", given.string().c_str());
            return 2;
        }
        if (!fs::is_directory(given)) {
            files.push_back(given);
            continue;
        }
        for (const fs::directory_entry& entry : fs::directory_iterator(given))
            if (entry.is_regular_file()) files.push_back(entry.path());
    }
    if (files.empty()) {
        std::fprintf(stderr, "nothing to replay\n");
        return 2;
    }
    std::sort(files.begin(), files.end());
    for (const fs::path& file : files) feed(file);
    std::printf("%zu inputs replayed\n", files.size());
}
