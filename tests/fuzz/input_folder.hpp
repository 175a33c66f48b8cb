// A folder for the files of one input after the other; gone when the program ends.
#pragma once

#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>

namespace evenhead::fuzz {

class InputFolder {
  public:
    InputFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "evenhead-fuzz-XXXXXX").string();
        if (!::mkdtemp(name.data())) std::abort();
        folder_ = name;
    }
    ~InputFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    InputFolder(const InputFolder&) = delete;
    InputFolder& operator=(const InputFolder&) = delete;

    std::string path(std::string_view name) const { return (folder_ / name).string(); }
    std::string write(std::string_view name, std::string_view text) const {
        std::string file = path(name);
        std::ofstream(file, std::ios::binary | std::ios::trunc)
            .write(text.data(), static_cast<std::streamsize>(text.size()));
        return file;
    }
    void remove(std::string_view name) const { std::filesystem::remove(path(name)); }

  private:
    std::filesystem::path folder_;
};

}  // namespace evenhead::fuzz
