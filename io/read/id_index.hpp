// Which row of a table has an id.
#pragma once

#include <cstdint>
#include <functional>
#include <string_view>
#include <vector>

#include "model/system.hpp"

namespace evenhead::io {

template <class Row>
bool is_called(const model::System&, const Row& row, std::string_view id) {
    return row.id == id;
}
inline bool is_called(const model::System& system, const model::Pipe& pipe, std::string_view id) {
    if (pipe.own_id) return *pipe.own_id == id;
    const std::string_view from = system.point_id(pipe.from), to = system.point_id(pipe.to);
    return id.size() == from.size() + 1 + to.size() && id[from.size()] == '-' && id.starts_with(from) &&
           id.ends_with(to);
}

/// Finds the rows of a table of the System by id. One flat table of positions that is looked through from
/// where the hash points to on: a set with a node for each of a million ids takes several times the memory
/// and the time. Ids stay where they are, so the table of the System may grow.
template <class Row>
class IdIndex {
  public:
    IdIndex(const model::System& system, const std::vector<Row>& rows) : system_(system), rows_(rows) {}
    IdIndex(const IdIndex&) = delete;
    IdIndex& operator=(const IdIndex&) = delete;

    /// The position of the row with this id, or none.
    model::Index find(std::string_view id) const {
        return slots_.empty() ? model::none : slots_[slot_of(id, hash_of(id))].position;
    }
    /// The position of the row with this id. Where there is none yet, `position` is noted for it (the caller
    /// puts the row there) and none is returned.
    model::Index find_or_add(std::string_view id, model::Index position) {
        if ((count_ + 1) * 5 > slots_.size() * 3) reserve(count_ * 2 + 8);
        const std::uint32_t hash = hash_of(id);
        Slot& slot = slots_[slot_of(id, hash)];
        if (slot.position != model::none) return slot.position;
        slot = {hash, position};
        ++count_;
        return model::none;
    }

    void reserve(std::size_t count) {
        std::size_t size = 16;
        while (count * 5 > size * 3) size *= 2;
        if (size <= slots_.size()) return;
        std::vector<Slot> old(size);
        old.swap(slots_);
        for (const Slot& slot : old) {
            if (slot.position == model::none) continue;
            std::size_t at = slot.hash & (slots_.size() - 1);
            while (slots_[at].position != model::none) at = (at + 1) & (slots_.size() - 1);
            slots_[at] = slot;
        }
    }
    /// Gives back the memory; nothing is found any more.
    void forget() {
        std::vector<Slot>().swap(slots_);
        count_ = 0;
    }

  private:
    struct Slot {
        std::uint32_t hash = 0;  ///< compared before the ids are
        model::Index position = model::none;
    };

    static std::uint32_t hash_of(std::string_view id) {
        return static_cast<std::uint32_t>(std::hash<std::string_view>()(id));
    }
    /// Where the id is, or would be.
    std::size_t slot_of(std::string_view id, std::uint32_t hash) const {
        const std::size_t mask = slots_.size() - 1;
        std::size_t at = hash & mask;
        while (slots_[at].position != model::none &&
               (slots_[at].hash != hash ||
                !is_called(system_, rows_[static_cast<std::size_t>(slots_[at].position)], id)))
            at = (at + 1) & mask;
        return at;
    }

    const model::System& system_;
    const std::vector<Row>& rows_;
    std::vector<Slot> slots_;  ///< a power of two of them, at most three fifths in use
    std::size_t count_ = 0;
};

}  // namespace evenhead::io
