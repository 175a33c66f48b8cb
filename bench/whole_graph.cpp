#include "bench/whole_graph.hpp"

#include <memory>

#include "model/position.hpp"

namespace evenhead::bench {

using solver::Element;
using solver::HeadLaw;
using solver::Network;

namespace {

// Elements at each node, in order.
void link_nodes(Network& network) {
    std::vector<std::vector<int>> at_node(network.node_elevation.size());
    for (std::size_t e = 0; e < network.elements.size(); ++e) {
        const Element& element = network.elements[e];
        network.ends.push_back({element.tail, element.head});
        network.closed.push_back(element.closed);
        for (const int node : {element.tail, element.head}) {
            if (node != solver::fixed) at_node[at(node)].push_back(static_cast<int>(e));
        }
    }
    network.link_start = {0};
    network.links.clear();
    for (const std::vector<int>& elements : at_node) {
        network.links.insert(network.links.end(), elements.begin(), elements.end());
        network.link_start.push_back(static_cast<int>(network.links.size()));
    }
}

}  // namespace

Network whole_graph(const model::System& system, const Network& network) {
    Network whole;
    whole.metres_per_pascal = network.metres_per_pascal;
    whole.node_elevation = network.node_elevation;
    whole.inlet_node = network.inlet_node;
    whole.outlet_node = network.outlet_node;
    whole.point_of_node = network.point_of_node;
    whole.nominal_flow = network.nominal_flow;
    whole.first_pipe = network.first_pipe;
    whole.first_device = network.first_device;
    const int heads = static_cast<int>(system.heads.size());
    whole.first_valve = network.first_valve + heads;
    whole.first_head = network.first_head + heads;
    const auto first_valve = network.elements.begin() + network.first_valve;
    const auto first_head = network.elements.begin() + network.first_head;
    whole.elements.assign(network.elements.begin(), first_valve);
    std::vector<Element> nozzles;
    for (int h = 0; h < heads; ++h) {
        const Element& head = network.elements[at(network.first_head + h)];
        const HeadLaw& law = *network.head_laws[at(h)];
        Element joint = head;
        joint.head = static_cast<int>(whole.node_elevation.size());
        joint.fixed_height = 0;
        whole.node_elevation.push_back(head.fixed_height);
        whole.point_of_node.push_back(system.heads[at(h)].point);
        whole.laws.push_back(std::make_unique<solver::PowerLaw>(0.0, law.joint_resistance(), false));
        joint.law = whole.laws.back().get();
        joint.one_way = false;
        whole.elements.push_back(joint);
        Element nozzle = head;
        nozzle.tail = joint.head;
        auto bare = std::make_unique<HeadLaw>(law.nozzle(), 0.0, law.set());
        whole.head_laws.push_back(bare.get());
        nozzle.law = bare.get();
        whole.laws.push_back(std::move(bare));
        nozzles.push_back(nozzle);
    }
    whole.elements.insert(whole.elements.end(), first_valve, first_head);
    whole.elements.insert(whole.elements.end(), nozzles.begin(), nozzles.end());
    link_nodes(whole);
    return whole;
}

}  // namespace evenhead::bench
