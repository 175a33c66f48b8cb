#include "bench/bare_pass.hpp"

#include <algorithm>
#include <fstream>
#include <stdexcept>
#include <string_view>
#include <unordered_set>

namespace evenhead::bench {
namespace {

// The files stay in memory until the end, so that an id is a view of its field: nothing is copied. Quotes and
// CRLF would cost more; the tables of the bench have none.
using Ids = std::unordered_set<std::string_view>;

std::string whole_file(const std::string& path) {
    std::ifstream stream(path, std::ios::binary | std::ios::ate);
    std::string text(stream ? static_cast<std::size_t>(stream.tellg()) : 0, '\0');
    stream.seekg(0);
    if (!stream.read(text.data(), static_cast<std::streamsize>(text.size())))
        throw std::runtime_error("cannot read " + path);
    return text;
}

/// The fields of the line at the front of `rest`, which is then behind it.
void split_line(std::string_view& rest, std::vector<std::string_view>& fields) {
    fields.clear();
    std::string_view line = rest.substr(0, rest.find('\n'));
    rest.remove_prefix(std::min(line.size() + 1, rest.size()));
    for (std::size_t comma = line.find(','); comma != std::string_view::npos; comma = line.find(',')) {
        fields.push_back(line.substr(0, comma));
        line.remove_prefix(comma + 1);
    }
    fields.push_back(line);
}

/// Where the ids of one table go, by field; null: the field is no id.
std::vector<Ids*> targets(const std::vector<std::string_view>& keys, Ids& points, Ids& pipes) {
    const bool of_pipes = std::find(keys.begin(), keys.end(), "from") != keys.end();
    std::vector<Ids*> into;
    for (const std::string_view key : keys) {
        const bool end = key == "from" || key == "to";
        into.push_back(end ? &points : key != "id" ? nullptr : of_pipes ? &pipes : &points);
    }
    return into;
}

}  // namespace

BareCount bare_pass(const std::vector<std::string>& tables) {
    BareCount count;
    std::vector<std::string> texts;
    texts.reserve(tables.size());
    Ids points, pipes;
    std::vector<std::string_view> fields;
    for (const std::string& table : tables) {
        std::string_view rest = texts.emplace_back(whole_file(table));
        count.bytes += rest.size();
        const auto lines = static_cast<std::size_t>(std::count(rest.begin(), rest.end(), '\n'));
        split_line(rest, fields);
        const std::vector<Ids*> into = targets(fields, points, pipes);
        // Room at once where every line brings an id: growing step by step would hash them all again.
        for (std::size_t i = 0; i < fields.size(); ++i)
            if (fields[i] == "id") into[i]->reserve(into[i]->size() + lines);
        while (!rest.empty()) {
            split_line(rest, fields);
            ++count.lines;
            count.fields += fields.size();
            for (std::size_t i = 0; i < std::min(fields.size(), into.size()); ++i)
                if (into[i] != nullptr) into[i]->insert(fields[i]);
        }
    }
    count.points = points.size();
    count.pipes = pipes.size();
    return count;
}

}  // namespace evenhead::bench
