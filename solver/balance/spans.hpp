// Sets of positions as stretches without gaps: a mainline, then zone after zone, are few of them.
#pragma once

#include <algorithm>
#include <vector>

namespace evenhead::solver {

/// Positions first .. last - 1.
struct Span {
    int first, last;
};

/// Rising, apart from each other.
using Spans = std::vector<Span>;

/// Adds a position behind all that are there.
inline void append(Spans& spans, int position) {
    if (!spans.empty() && spans.back().last == position) {
        ++spans.back().last;
    } else {
        spans.push_back({position, position + 1});
    }
}

/// Calls visit(position) for each, rising.
template <class Visit>
void for_each(const Spans& spans, Visit visit) {
    for (const Span& span : spans) {
        for (int position = span.first; position < span.last; ++position) visit(position);
    }
}

/// Calls visit(position) for each that `other` has not.
template <class Visit>
void for_each_without(const Spans& spans, const Spans& other, Visit visit) {
    auto next = other.begin();
    for (const Span& span : spans) {
        int position = span.first;
        while (position < span.last) {
            while (next != other.end() && next->last <= position) ++next;
            const int end =
                next == other.end() ? span.last : std::min(span.last, std::max(next->first, position));
            for (; position < end; ++position) visit(position);
            if (next != other.end() && position < span.last) position = std::min(span.last, next->last);
        }
    }
}

/// The positions of both, which have none in common. `joined` is written anew.
inline void join(const Spans& one, const Spans& other, Spans& joined) {
    joined.clear();
    auto a = one.begin(), b = other.begin();
    while (a != one.end() || b != other.end()) {
        const Span next = b == other.end() || (a != one.end() && a->first < b->first) ? *a++ : *b++;
        if (!joined.empty() && joined.back().last == next.first) {
            joined.back().last = next.last;
        } else {
            joined.push_back(next);
        }
    }
}

/// What of the spans lies in first .. last - 1, less `first`.
inline void cut(const Spans& spans, int first, int last, Spans& part) {
    part.clear();
    auto span =
        std::partition_point(spans.begin(), spans.end(), [&](const Span& s) { return s.last <= first; });
    for (; span != spans.end() && span->first < last; ++span)
        part.push_back({std::max(span->first, first) - first, std::min(span->last, last) - first});
}

}  // namespace evenhead::solver
