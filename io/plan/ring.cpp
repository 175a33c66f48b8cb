// Lays a looped part. Points on two of its pipes only are strung on links between junctions; junctions become
// level bars, links become upright columns (embedding.hpp), and what hangs on the points of a column stands
// to its left and right like on any line. A column longer than its limit runs up, down and up again.
#include <algorithm>
#include <cmath>
#include <queue>
#include <unordered_map>

#include "io/plan/embedding.hpp"
#include "io/plan/schematic_parts.hpp"

namespace evenhead::io::schematic {
namespace {

using model::none;

/// Pipes in a row between two junctions, and the points between them.
struct Chain {
    int from = 0, to = 0;  ///< junctions
    std::vector<Index> pipes, points;
};

/// A chain as it will stand.
struct Column {
    std::vector<Item> items;
    Rows rows;
    RowFrame frame;
    Extent extent;
    double need = gap;  ///< height
    double x = 0;       ///< of its first row
};

class Ring {
  public:
    Ring(const model::System& system, Branches& branches, int number, double limit)
        : system_(system), branches_(branches), branch_(branches.all[at(number)]), limit_(limit) {}

    void lay() {
        branch_.points.clear();
        branch_.ways.clear();
        branch_.hung.clear();
        find_chains();
        bars_ = find_bars(graph_, 0, distances());
        orient();
        set_columns();
        find_heights();
        find_columns();
        find_spots();
        for (std::size_t i = 0; i < chains_.size(); ++i)
            if (bars_.drawn[i])
                draw(i);
            else
                draw_across(i);
        finish();
    }

  private:
    void find_chains() {
        std::unordered_map<Index, std::vector<Index>> around;  // pipes of a point
        std::vector<Index> points;
        for (const Index pipe : branch_.ring)
            for (const Index end : {system_.pipes[at(pipe)].from, system_.pipes[at(pipe)].to}) {
                auto& list = around[end];
                if (list.empty()) points.push_back(end);
                list.push_back(pipe);
            }
        std::sort(points.begin(), points.end());
        std::unordered_map<Index, int> junction;
        const auto make_junction = [&](Index point) {
            if (junction.emplace(point, static_cast<int>(junctions_.size())).second)
                junctions_.push_back(point);
        };
        make_junction(branch_.anchor);
        for (const Index point : points)
            if (around[point].size() > 2) make_junction(point);
        if (junctions_.size() == 1) make_junction(halfway(around));

        std::unordered_map<Index, char> taken;
        for (std::size_t i = 0; i < junctions_.size(); ++i)
            for (const Index first : around[junctions_[i]]) {
                if (taken[first]) continue;
                Chain chain;
                chain.from = static_cast<int>(i);
                Index point = junctions_[i], pipe = first;
                for (;;) {
                    taken[pipe] = 1;
                    chain.pipes.push_back(pipe);
                    point = other(pipe, point);
                    const auto found = junction.find(point);
                    if (found != junction.end()) {
                        chain.to = found->second;
                        break;
                    }
                    chain.points.push_back(point);
                    const auto& two = around[point];
                    pipe = two[0] == pipe ? two[1] : two[0];
                }
                graph_.links.emplace_back(chain.from, chain.to);
                chains_.push_back(std::move(chain));
            }
        graph_.junctions = static_cast<int>(junctions_.size());
    }
    Index other(Index pipe, Index point) const {
        const model::Pipe& row = system_.pipes[at(pipe)];
        return row.from == point ? row.to : row.from;
    }
    double room_of(Index point) const {
        double room = step;
        for (const int hung : branches_.of_point[at(point)])
            room += branches_.all[at(hung)].extent.left + branches_.all[at(hung)].extent.right;
        return room;
    }
    /// The point of a single ring that is farthest from its anchor, counting what hangs on the way.
    Index halfway(std::unordered_map<Index, std::vector<Index>>& around) const {
        std::vector<Index> circle;
        double whole = 0;
        for (Index point = branch_.anchor, pipe = around[point][0];;) {
            point = other(pipe, point);
            if (point == branch_.anchor) break;
            circle.push_back(point);
            whole += room_of(point);
            const auto& two = around[point];
            pipe = two[0] == pipe ? two[1] : two[0];
        }
        double so_far = 0;
        for (const Index point : circle) {
            so_far += room_of(point);
            if (2 * so_far >= whole) return point;
        }
        return circle.back();
    }

    /// Of each junction from the anchor, along the chains.
    std::vector<double> distances() const {
        std::vector<std::vector<std::pair<int, double>>> next(junctions_.size());
        for (const Chain& chain : chains_) {
            double length = step;
            for (const Index point : chain.points) length += room_of(point);
            next[at(chain.from)].emplace_back(chain.to, length);
            next[at(chain.to)].emplace_back(chain.from, length);
        }
        std::vector<double> far(junctions_.size(), no_limit);
        using Step = std::pair<double, int>;
        std::priority_queue<Step, std::vector<Step>, std::greater<>> queue;
        far[0] = 0;
        queue.emplace(0, 0);
        while (!queue.empty()) {
            const auto [so_far, junction] = queue.top();
            queue.pop();
            if (so_far > far[at(junction)]) continue;
            for (const auto& [neighbour, length] : next[at(junction)])
                if (so_far + length < far[at(neighbour)]) {
                    far[at(neighbour)] = so_far + length;
                    queue.emplace(far[at(neighbour)], neighbour);
                }
        }
        return far;
    }

    void orient() {
        for (std::size_t i = 0; i < chains_.size(); ++i) {
            if (bars_.upward[i]) continue;
            std::swap(chains_[i].from, chains_[i].to);
            std::reverse(chains_[i].pipes.begin(), chains_[i].pipes.end());
            std::reverse(chains_[i].points.begin(), chains_[i].points.end());
        }
    }

    void set_columns() {
        columns_.resize(chains_.size());
        host_.assign(junctions_.size(), none);
        for (std::size_t i = 0; i < chains_.size(); ++i) {
            Column& column = columns_[i];
            for (std::size_t k = 0; k < chains_[i].points.size(); ++k) {
                const Index point = chains_[i].points[k];
                column.items.push_back({point, chains_[i].pipes[k], branches_.of_point[at(point)]});
            }
            if (!bars_.drawn[i]) continue;
            // What hangs on a junction stands at the foot of the first column above it.
            const int from = chains_[i].from, to = chains_[i].to;
            if (from != 0 && host_[at(from)] == none) {
                host_[at(from)] = static_cast<int>(i);
                const auto& hung = branches_.of_point[at(junctions_[at(from)])];
                if (!hung.empty()) column.items.insert(column.items.begin(), Item{none, none, hung});
            }
            if (to == bars_.last && host_[at(to)] == none) {
                host_[at(to)] = static_cast<int>(i);
                top_hung_ = branches_.of_point[at(junctions_[at(to)])];
                if (!top_hung_.empty()) {
                    const auto heaviest =
                        std::max_element(top_hung_.begin(), top_hung_.end(), [&](int a, int b) {
                            return branches_.all[at(a)].weight < branches_.all[at(b)].weight;
                        });
                    ahead_ = *heaviest;
                    top_hung_.erase(heaviest);
                    if (!top_hung_.empty()) column.items.push_back({none, none, top_hung_});
                }
            }
        }
        for (std::size_t i = 0; i < chains_.size(); ++i) {
            Column& column = columns_[i];
            if (!bars_.drawn[i] || column.items.empty()) {
                column.frame.x = {0};
                continue;
            }
            const Prefer prefer = bars_.left[i] == 0    ? Prefer::left
                                  : bars_.right[i] == 1 ? Prefer::right
                                                        : Prefer::none;
            column.rows = in_odd_rows(column.items, prefer);
            column.frame = frame_of(column.rows, column.extent);
            column.need = column.extent.depth + gap;
        }
    }
    /// It begins at the bottom and ends at the top: one row, or three, or five.
    Rows in_odd_rows(const std::vector<Item>& items, Prefer prefer) const {
        double limit = limit_;
        for (int attempt = 0; attempt < 8; ++attempt) {
            Rows rows = set_along(branches_.all, items, limit, step, prefer);
            const std::size_t count = rows.rows.size();
            if (count % 2 == 1) return rows;
            limit *= 0.97 * static_cast<double>(count) / static_cast<double>(count + 1);
        }
        return set_along(branches_.all, items, no_limit, step, prefer);
    }

    void find_heights() {
        height_.assign(junctions_.size(), step);
        std::vector<std::vector<std::size_t>> below(junctions_.size());
        for (std::size_t i = 0; i < chains_.size(); ++i)
            if (bars_.drawn[i]) below[at(chains_[i].to)].push_back(i);
        for (const int junction : bars_.order)
            for (const std::size_t i : below[at(junction)])
                height_[at(junction)] =
                    std::max(height_[at(junction)], height_[at(chains_[i].from)] + columns_[i].need);
    }

    void find_columns() {
        std::vector<std::vector<std::size_t>> right_of(at(bars_.faces));
        std::vector<int> waits(at(bars_.faces), 0);
        for (std::size_t i = 0; i < chains_.size(); ++i)
            if (bars_.drawn[i]) {
                right_of[at(bars_.left[i])].push_back(i);
                ++waits[at(bars_.right[i])];
            }
        std::vector<double> x(at(bars_.faces), 0);
        std::vector<int> ready;
        for (int face = 0; face < bars_.faces; ++face)
            if (waits[at(face)] == 0) ready.push_back(face);
        for (std::size_t next = 0; next < ready.size(); ++next)
            for (const std::size_t i : right_of[at(ready[next])]) {
                Column& column = columns_[i];
                column.x = x[at(ready[next])] + gap / 2 + column.extent.left;
                double& beyond = x[at(bars_.right[i])];
                beyond =
                    std::max(beyond, x[at(ready[next])] + gap + column.extent.left + column.extent.right);
                least_ = std::min(least_, column.x - column.extent.left);
                most_ = std::max(most_, column.x + column.extent.right);
                if (--waits[at(bars_.right[i])] == 0) ready.push_back(bars_.right[i]);
            }
    }
    double top_x(std::size_t i) const { return columns_[i].x + columns_[i].frame.x.back(); }

    /// A junction that something hangs on lies at the foot of its column, the first and the last in the
    /// middle of their bars, any other where one of its columns meets the bar.
    void find_spots() {
        std::vector<std::vector<double>> met(junctions_.size());
        for (std::size_t i = 0; i < chains_.size(); ++i) {
            if (!bars_.drawn[i]) continue;
            met[at(chains_[i].from)].push_back(columns_[i].x);
            met[at(chains_[i].to)].push_back(top_x(i));
        }
        spots_.resize(junctions_.size());
        for (std::size_t j = 0; j < junctions_.size(); ++j) {
            const auto [low, high] = std::minmax_element(met[j].begin(), met[j].end());
            const double middle = (*low + *high) / 2;
            double x = middle;
            if (static_cast<int>(j) != 0 && static_cast<int>(j) != bars_.last) {
                x = *std::min_element(met[j].begin(), met[j].end(), [&](double one, double two) {
                    return std::abs(one - middle) < std::abs(two - middle);
                });
                if (!branches_.of_point[at(junctions_[j])].empty()) x = columns_[at(host_[j])].x;
            }
            spots_[j] = {x, height_[j]};
        }
    }

    void draw(std::size_t i) {
        const Chain& chain = chains_[i];
        const Column& column = columns_[i];
        const Spot from = spots_[at(chain.from)], to = spots_[at(chain.to)];
        Index start = junctions_[at(chain.from)];
        std::vector<Spot> bends;
        if (chain.from == 0) bends.push_back(from);  // up the stem to the bar first
        if (column.x != from.x) bends.push_back({column.x, from.y});
        const auto emit = [&](Index pipe, Index to_point) {
            if (!bends.empty() || start == branch_.anchor) branch_.ways.push_back({pipe, start, bends});
            bends.clear();
            start = to_point;
        };
        const double room = to.y - from.y;
        const double stretch = column.rows.rows.size() == 1 ? room / column.need : 1;
        for (std::size_t r = 0; r < column.rows.rows.size(); ++r) {
            if (r > 0)
                for (const Spot& bend : column.frame.turn(r - 1))
                    bends.push_back({column.x + bend.x, from.y + bend.y});
            const auto spot = [&](double along) {
                const Spot here = column.frame.spot(r, along * stretch);
                return Spot{column.x + here.x, from.y + here.y};
            };
            for (const Rows::Place& place : column.rows.rows[r].places) {
                const Item& item = column.items[place.item];
                if (item.point == none) continue;
                emit(item.pipe, item.point);
                branch_.points.emplace_back(item.point, spot(place.along));
            }
            const int around = RowFrame::forward(r) ? 0 : 2;
            for (const Rows::Side& side : column.rows.rows[r].sides) {
                // What hangs on the top is reached along its bar and down the column.
                const bool of_top =
                    std::find(top_hung_.begin(), top_hung_.end(), side.branch) != top_hung_.end();
                branch_.hung.push_back({side.branch, spot(side.along), around + (side.left ? 1 : 3),
                                        of_top ? std::optional(Spot{top_x(i), to.y}) : std::nullopt});
            }
        }
        if (top_x(i) != to.x) bends.push_back({top_x(i), to.y});
        emit(chain.pipes.back(), none);
    }

    /// A chain that cannot be drawn without crossing others: nearly straight between its junctions.
    void draw_across(std::size_t i) {
        const Chain& chain = chains_[i];
        const Spot from = spots_[at(chain.from)], to = spots_[at(chain.to)];
        Index start = junctions_[at(chain.from)];
        // A little beside whatever stands on the way.
        const double aside = 0.2137 * static_cast<double>(1 + across_++ % 4);
        for (std::size_t k = 0; k < chain.points.size(); ++k) {
            const double share = static_cast<double>(k + 1) / static_cast<double>(chain.points.size() + 1);
            const Spot spot{from.x + (to.x - from.x) * share + aside,
                            from.y + (to.y - from.y) * share - aside};
            branch_.points.emplace_back(chain.points[k], spot);
            for (const int hung : columns_[i].items[k].hung) branch_.hung.push_back({hung, spot, 3, {}});
            if (start == branch_.anchor) branch_.ways.push_back({chain.pipes[k], start, {from}});
            start = chain.points[k];
        }
        if (start == branch_.anchor) branch_.ways.push_back({chain.pipes.back(), start, {from}});
        // Pipes are noted from the anchor only.
        if (chain.to == 0) branch_.ways.push_back({chain.pipes.back(), branch_.anchor, {to}});
    }

    void finish() {
        for (std::size_t j = 1; j < junctions_.size(); ++j)
            branch_.points.emplace_back(junctions_[j], spots_[j]);
        double depth = height_[at(bars_.last)];
        if (ahead_ >= 0) {
            const Spot top = spots_[at(bars_.last)];
            const Extent& ahead = branches_.all[at(ahead_)].extent;
            branch_.hung.push_back({ahead_, top, 0, {}});
            least_ = std::min(least_, top.x - ahead.left);
            most_ = std::max(most_, top.x + ahead.right);
            depth += ahead.depth;
        }
        const double shift = spots_[0].x;
        for (auto& [point, spot] : branch_.points) spot.x -= shift;
        for (Way& way : branch_.ways)
            for (Spot& bend : way.bends) bend.x -= shift;
        for (Hung& hung : branch_.hung) {
            hung.place.x -= shift;
            if (hung.via) hung.via->x -= shift;
        }
        branch_.extent = {shift - least_, most_ - shift, depth};
    }

    const model::System& system_;
    Branches& branches_;
    Branch& branch_;
    double limit_;
    std::vector<Index> junctions_;  ///< points; the first is the anchor
    std::vector<Chain> chains_;
    LinkGraph graph_;
    Bars bars_;
    std::vector<Column> columns_;  ///< by chain
    std::vector<int> host_;        ///< by junction: the column that bears what hangs on it
    std::vector<int> top_hung_;
    int ahead_ = -1;
    int across_ = 0;  ///< chains that cross others so far
    std::vector<double> height_;
    std::vector<Spot> spots_;  ///< of junctions
    double least_ = no_limit, most_ = -no_limit;
};

}  // namespace

void lay_ring(const model::System& system, Branches& branches, int number, double limit) {
    Ring(system, branches, number, limit).lay();
}

}  // namespace evenhead::io::schematic
