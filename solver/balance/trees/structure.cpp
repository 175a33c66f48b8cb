#include "solver/balance/trees/structure.hpp"

#include <algorithm>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

class Builder {
  public:
    explicit Builder(const Network& network) : net_(network), nodes_(network.node_elevation.size()) {}

    Structure build() {
        count_elements();
        peel();
        order_trees();
        find_core();
        add_heads();
        find_junctions();
        for (std::size_t j = 0; j < out_.junction_node.size(); ++j) follow_chains(static_cast<int>(j));
        reach_core();
        return std::move(out_);
    }

  private:
    bool joins(int element) const {
        const Network::Ends ends = net_.ends[at(element)];
        return !net_.closed[at(element)] && ends.tail != fixed && ends.head != fixed;
    }
    // Of each node the number of its elements, and their positions and other ends joined by exclusive or:
    // when one is left, these are its own.
    void count_elements() {
        left_.assign(nodes_, {});
        supplied_.assign(nodes_, 0);
        for (int e = 0; e < net_.first_head; ++e) {
            const auto [tail, head] = net_.ends[at(e)];
            if (tail == fixed) supplied_[at(head)] = 1;
            if (!joins(e)) continue;
            for (const int node : {tail, head}) {
                Left& left = left_[at(node)];
                ++left.count;
                left.element ^= e;
                left.other ^= tail ^ head ^ node;
            }
        }
    }

    void peel() {
        out_.place_of.assign(nodes_, in_core);
        peeled_.reserve(nodes_);
        for (std::size_t start = 0; start < nodes_; ++start) {
            int node = static_cast<int>(start);
            while (left_[at(node)].count == 1 && !supplied_[at(node)]) {
                Left& own = left_[at(node)];
                const int element = own.element, next = own.other;
                peeled_.push_back({node, element, next});
                own = {};
                out_.place_of[at(node)] = peeled;
                Left& of_next = left_[at(next)];
                --of_next.count;
                of_next.element ^= element;
                of_next.other ^= node;
                node = next;
            }
        }
    }

    // A subtree gets its places from its size, counted from the leaves; then, from the roots, each node the
    // last of its subtree's places, and its children what lies before, in the order in which they were
    // peeled.
    void order_trees() {
        const std::size_t count = peeled_.size();
        int roots = 0;
        for (const auto& [node, element, parent] : peeled_) {
            const int own =
                ++left_[at(node)].count;  // of a peeled node it was 0: from here the size of its subtree
            if (out_.place_of[at(parent)] == in_core) {
                roots += own;
            } else {
                left_[at(parent)].count += own;
            }
        }
        out_.node.resize(count);
        out_.parent.resize(count);
        out_.element.resize(count);
        out_.head.assign(count, -1);
        out_.subtree.resize(count);
        out_.uphill.resize(count);
        out_.shut.resize(count);
        int next_root = roots;
        for (std::size_t i = count; i-- > 0;) {
            const auto [node, element, parent] = peeled_[i];
            const int parent_place = out_.place_of[at(parent)];
            // `other` of a node that has its place: one past the last that its children may take.
            int& end = parent_place == in_core ? next_root : left_[at(parent)].other;
            const int place = end - 1;
            end -= left_[at(node)].count;
            left_[at(node)].other = place;
            out_.place_of[at(node)] = place;
            out_.node[at(place)] = node;
            out_.parent[at(place)] = parent_place == in_core ? ~parent : parent_place;
            out_.element[at(place)] = element;
            out_.subtree[at(place)] = end;
            out_.uphill[at(place)] = net_.ends[at(element)].tail == node;
            out_.shut[at(place)] = element >= net_.first_device && net_.ends[at(element)].tail == node &&
                                   net_.elements[at(element)].one_way;
        }
    }

    // A head of the core is a tree without an element of its own.
    void add_heads() {
        for (int e = net_.first_head; e < static_cast<int>(net_.elements.size()); ++e) {
            const int node = net_.ends[at(e)].tail, place = out_.place_of[at(node)];
            if (place >= 0) {
                out_.head[at(place)] = e;
                continue;
            }
            out_.subtree.push_back(static_cast<int>(out_.node.size()));
            out_.node.push_back(node);
            out_.parent.push_back(place);
            out_.element.push_back(-1);
            out_.head.push_back(e);
            out_.uphill.push_back(0);
            out_.shut.push_back(0);
        }
    }

    void find_core() {
        for (std::size_t node = 0; node < nodes_; ++node) {
            if (out_.place_of[node] != in_core) continue;
            out_.place_of[node] = ~static_cast<int>(out_.core_node.size());
            out_.core_node.push_back(static_cast<int>(node));
        }
        for (int& parent : out_.parent) {
            if (parent < 0) parent = out_.place_of[at(~parent)];
        }
        for (int e = 0; e < net_.first_head; ++e) {
            if (joins(e) && core_of(net_.ends[at(e)].tail) >= 0 && core_of(net_.ends[at(e)].head) >= 0)
                core_elements_.push_back(e);
        }
        const std::size_t count = out_.core_node.size();
        out_.junction.assign(count, -1);
        out_.step_to.assign(count, -1);
        out_.core_reached.assign(count, 0);
        first_.assign(count + 1, 0);
        each_core_end([&](int core, int) { ++first_[at(core) + 1]; });
        for (std::size_t core = 0; core < count; ++core) first_[core + 1] += first_[core];
        ends_.resize(at(first_.back()));
        std::vector<int> next(first_.begin(), first_.end() - 1);
        each_core_end([&](int core, int element) { ends_[at(next[at(core)]++)] = element; });
        taken_.assign(net_.elements.size(), 0);
    }

    template <class Visit>
    void each_core_end(Visit visit) {
        for (const int e : core_elements_) {
            const Element& element = net_.elements[at(e)];
            const int tail = core_of(element.tail), head = core_of(element.head);
            if (e >= net_.first_valve || element.regulates() || tail == head) out_.core_varies = true;
            visit(tail, e);
            visit(head, e);
        }
    }
    int core_of(int node) const { return ~out_.place_of[at(node)]; }  // below 0: in a tree

    void add_junction(int core) {
        if (out_.junction[at(core)] >= 0) return;
        out_.junction[at(core)] = static_cast<int>(out_.junction_node.size());
        out_.junction_node.push_back(core);
    }

    void find_junctions() {
        for (std::size_t core = 0; core < out_.core_node.size(); ++core) {
            if (first_[core + 1] - first_[core] != 2 || supplied_[at(out_.core_node[core])])
                add_junction(static_cast<int>(core));
        }
        for (int s = 0; s < net_.first_pipe; ++s)
            out_.supply_junction.push_back(out_.junction[at(core_of(net_.elements[at(s)].head))]);
    }

    // The chains that begin at a junction; each is found from one of its ends. A ring that comes back to its
    // junction is cut in two at a junction of its own.
    void follow_chains(int start) {
        const int core = out_.junction_node[at(start)];
        for (int i = first_[at(core)]; i < first_[at(core) + 1]; ++i) {
            const auto steps = out_.step_element.size();
            int here = core, element = ends_[at(i)];
            if (taken_[at(element)]) continue;
            for (;;) {
                taken_[at(element)] = 1;
                const Element& of = net_.elements[at(element)];
                const bool backward = core_of(of.tail) != here;
                here = core_of(backward ? of.tail : of.head);
                out_.step_element.push_back(element);
                out_.step_backward.push_back(backward);
                out_.step_node.push_back(here);
                if (out_.junction[at(here)] >= 0) break;
                element = ends_[at(first_[at(here)])] == element ? ends_[at(first_[at(here)] + 1)]
                                                                 : ends_[at(first_[at(here)])];
            }
            add_chain(start, static_cast<int>(steps), static_cast<int>(out_.step_element.size()));
        }
    }

    void add_chain(int from, int first, int last) {
        const int to = out_.junction[at(out_.step_node[at(last - 1)])];
        if (from == to && last - first > 1) {
            const int middle = first + (last - first) / 2;
            add_junction(out_.step_node[at(middle - 1)]);
            const int own = out_.junction[at(out_.step_node[at(middle - 1)])];
            add_chain(from, first, middle);
            out_.chains.push_back({own, to, middle, last});
        } else {
            out_.chains.push_back({from, to, first, last});
        }
        const CoreChain& chain = out_.chains.back();
        for (int step = chain.first; step + 1 < chain.last; ++step)
            out_.step_to[at(out_.step_node[at(step)])] = step;
    }

    // What can be reached only against a one-way element is not: the core is then not one piece.
    void reach_core() {
        for (const CoreChain& chain : out_.chains) out_.chain_ends.emplace_back(chain.from, chain.to);
        std::vector<int> visit;
        const auto arrive = [&](int core) {
            if (out_.core_reached[at(core)]) return;
            out_.core_reached[at(core)] = 1;
            visit.push_back(core);
        };
        for (const int junction : out_.supply_junction) arrive(out_.junction_node[at(junction)]);
        for (std::size_t i = 0; i < visit.size(); ++i) {
            for (int j = first_[at(visit[i])]; j < first_[at(visit[i]) + 1]; ++j) {
                const Element& element = net_.elements[at(ends_[at(j)])];
                const int tail = core_of(element.tail), head = core_of(element.head);
                if (tail == visit[i]) arrive(head);
                if (head == visit[i] && !element.one_way) arrive(tail);
            }
        }
        for (const CoreChain& chain : out_.chains) {
            bool any = false, all = true;
            const auto note = [&](int core) {
                (out_.core_reached[at(core)] ? any : all) = out_.core_reached[at(core)];
            };
            note(out_.junction_node[at(chain.from)]);
            for (int step = chain.first; step < chain.last; ++step) note(out_.step_node[at(step)]);
            if (any && !all) out_.core_varies = true;
        }
    }

    static constexpr int in_core = -1, peeled = -2;
    struct Peeled {
        int node, element, parent;
    };
    struct Left {
        int count = 0, element = 0, other = 0;
    };
    const Network& net_;
    std::size_t nodes_;
    Structure out_;
    std::vector<Left> left_;  // by node
    std::vector<char> supplied_, taken_;
    std::vector<Peeled> peeled_;
    std::vector<int> core_elements_;
    std::vector<int> first_, ends_;  // elements at each core node (CSR)
};

}  // namespace

Structure prepare_structure(const Network& network) {
    return Builder(network).build();
}

}  // namespace evenhead::solver
