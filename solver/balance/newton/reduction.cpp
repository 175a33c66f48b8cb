#include "solver/balance/newton/reduction.hpp"
#include "model/position.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

namespace evenhead::solver {
namespace {

class Reducer {
  public:
    Reducer(Links links, double level_slope, std::vector<int>& scratch)
        : local_(scratch), level_slope_(level_slope), feeds_(std::move(links.feeds)) {
        out_.links = std::move(links.all);
    }

    Reduction run() {
        number_nodes();
        connect();
        peel();
        make_chains();
        drop_still_chains();
        find_feeds();
        for (const int node : nodes_) local_[at(node)] = -1;
        return std::move(out_);
    }

  private:
    void number_nodes() {
        const auto number = [&](int node) {
            if (node == fixed || local_[at(node)] >= 0) return;
            local_[at(node)] = static_cast<int>(nodes_.size());
            nodes_.push_back(node);
        };
        for (const Link& link : out_.links) {
            number(link.tail);
            number(link.head);
        }
    }

    int local(int node) const { return node == fixed ? fixed : local_[at(node)]; }

    void connect() {
        degree_.assign(nodes_.size(), 0);
        start_.assign(nodes_.size() + 1, 0);
        for (const Link& link : out_.links) {
            for (const int node : {local(link.tail), local(link.head)}) {
                if (node != fixed) ++degree_[at(node)];
            }
        }
        for (std::size_t i = 0; i < nodes_.size(); ++i) start_[i + 1] = start_[i] + degree_[i];
        at_node_.resize(at(start_.back()));
        std::vector<int> next(start_.begin(), start_.end() - 1);
        for (std::size_t l = 0; l < out_.links.size(); ++l) {
            for (const int node : {local(out_.links[l].tail), local(out_.links[l].head)}) {
                if (node != fixed) at_node_[at(next[at(node)]++)] = static_cast<int>(l);
            }
        }
        alive_.assign(out_.links.size(), 1);
    }

    int other_end(int link, int node) const {
        const int tail = local(out_.links[at(link)].tail);
        return tail == node ? local(out_.links[at(link)].head) : tail;
    }

    int alive_link(int node, int except) const {
        for (int i = start_[at(node)]; i < start_[at(node) + 1]; ++i) {
            const int link = at_node_[at(i)];
            if (alive_[at(link)] && link != except) return link;
        }
        return -1;
    }

    void peel() {
        std::vector<int> leaves;
        for (std::size_t i = 0; i < nodes_.size(); ++i) {
            if (degree_[i] == 1) leaves.push_back(static_cast<int>(i));
        }
        while (!leaves.empty()) {
            const int leaf = leaves.back();
            leaves.pop_back();
            if (degree_[at(leaf)] != 1) continue;
            const int link = alive_link(leaf, -1);
            const int next = other_end(link, leaf);
            alive_[at(link)] = 0;
            degree_[at(leaf)] = 0;
            if (next != fixed && --degree_[at(next)] == 1) leaves.push_back(next);
        }
    }

    bool ends_chain(int node) const { return node == fixed || degree_[at(node)] != 2; }

    void make_chains() {
        branch_.assign(nodes_.size(), -1);
        std::vector<char> used(out_.links.size(), 0);
        for (std::size_t l = 0; l < out_.links.size(); ++l) {
            if (!alive_[l] || used[l]) continue;
            const int tail = local(out_.links[l].tail), head = local(out_.links[l].head);
            if (ends_chain(tail)) {
                follow(static_cast<int>(l), tail, head, used);
            } else if (ends_chain(head)) {
                follow(static_cast<int>(l), head, tail, used);
            }
        }
        // What is left are rings on which no other chain stands: they begin and end at any of their nodes.
        for (std::size_t l = 0; l < out_.links.size(); ++l) {
            if (!alive_[l] || used[l]) continue;
            const int start = local(out_.links[l].tail);
            degree_[at(start)] = 3;
            follow(static_cast<int>(l), start, local(out_.links[l].head), used);
        }
    }

    int branch(int node) {
        if (node == fixed) return fixed;
        if (branch_[at(node)] < 0) {
            branch_[at(node)] = static_cast<int>(out_.branch_node.size());
            out_.branch_node.push_back(nodes_[at(node)]);
        }
        return branch_[at(node)];
    }

    void follow(int link, int from, int to, std::vector<char>& used) {
        Chain chain;
        Series law(level_slope_);
        chain.first = static_cast<int>(out_.steps.size());
        chain.from = branch(from);
        int node = from;
        for (;;) {
            const Link& of = out_.links[at(link)];
            const bool reversed = local(of.tail) != node || (of.tail == of.head);
            used[at(link)] = 1;
            out_.steps.push_back({link, reversed});
            law.add(*of.law, reversed, of.cap);
            if (node == fixed) chain.from_height = of.fixed_height;
            if (to == fixed) chain.to_height = of.fixed_height;
            if (node == fixed || to == fixed) {
                if (of.nominal > 0) {
                    chain.nominal += reversed ? -of.nominal : of.nominal;
                } else {
                    chain.source = true;
                }
            }
            node = to;
            if (ends_chain(node)) break;
            link = alive_link(node, link);
            to = other_end(link, node);
        }
        chain.to = branch(node);
        chain.last = static_cast<int>(out_.steps.size());
        out_.chains.push_back(chain);
        out_.laws.push_back(std::move(law));
    }

    // Keeps the chains that carry water.
    void drop_still_chains() {
        const std::vector<char> carries = chains_that_carry(out_, std::vector<char>(out_.chains.size(), 1));
        if (std::find(carries.begin(), carries.end(), 0) == carries.end()) return;
        Reduction kept;
        std::vector<int> renumber(out_.branch_node.size(), -1);
        for (std::size_t c = 0; c < out_.chains.size(); ++c) {
            if (!carries[c]) continue;
            Chain chain = out_.chains[c];
            for (int* node : {&chain.from, &chain.to}) {
                if (*node == fixed) continue;
                int& number = renumber[at(*node)];
                if (number < 0) {
                    number = static_cast<int>(kept.branch_node.size());
                    kept.branch_node.push_back(out_.branch_node[at(*node)]);
                }
                *node = number;
            }
            kept.chains.push_back(chain);
            kept.laws.push_back(std::move(out_.laws[c]));
        }
        out_.branch_node = std::move(kept.branch_node);
        out_.chains = std::move(kept.chains);
        out_.laws = std::move(kept.laws);
    }

    void find_feeds() {
        if (feeds_.empty()) return;
        struct Place {
            int chain = -1;
            bool reversed = false;
        };
        std::vector<Place> place(out_.links.size());
        for (std::size_t c = 0; c < out_.chains.size(); ++c) {
            for (int i = out_.chains[c].first; i < out_.chains[c].last; ++i) {
                const ChainStep& step = out_.steps[at(i)];
                place[at(step.link)] = {static_cast<int>(c), step.reversed};
            }
        }
        for (const Feed& feed : feeds_) {
            const Place& fed = place[at(feed.outlet)];
            const Place& drawing = place[at(feed.inlet)];
            out_.feeds.push_back({fed.chain, drawing.chain, fed.reversed, drawing.reversed, feed.loops});
        }
    }

    std::vector<int>& local_;
    double level_slope_;
    std::vector<Feed> feeds_;
    Reduction out_;
    std::vector<int> nodes_, degree_, start_, at_node_, branch_;
    std::vector<char> alive_;
};

}  // namespace

Reduction reduce(Links links, double level_slope, std::vector<int>& scratch) {
    return Reducer(std::move(links), level_slope, scratch).run();
}

}  // namespace evenhead::solver
