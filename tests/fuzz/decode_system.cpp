#include "tests/fuzz/decode_system.hpp"

#include <array>
#include <cmath>
#include <string>
#include <utility>

namespace evenhead::fuzz {
namespace {

using namespace model;

constexpr double psi = 6894.757293168361, gpm = 6.30901964e-5, foot = 0.3048, inch = 0.0254;
constexpr double largest = 1e15;  // in SI: the reader refuses what is larger, and what is below 1e-30
constexpr std::size_t most_points = 40;

/// Draws from the bytes; behind their end everything is 0.
class Bytes {
  public:
    explicit Bytes(std::span<const std::uint8_t> bytes) : bytes_(bytes) {}

    bool empty() const { return next_ >= bytes_.size(); }
    int byte() { return empty() ? 0 : bytes_[next_++]; }
    int below(int count) { return byte() % count; }
    bool one_in(int count) { return byte() % count == count - 1; }
    double share() {
        const int high = byte();
        return (256.0 * high + byte()) / 65535;
    }
    double between(double low, double high) { return low + (high - low) * share(); }
    double log_between(double low, double high) { return low * std::pow(high / low, share()); }

  private:
    std::span<const std::uint8_t> bytes_;
    std::size_t next_ = 0;
};

class Decoder {
  public:
    explicit Decoder(std::span<const std::uint8_t> bytes) : in_(bytes) {}

    std::optional<Decoded> decode() {
        const int header = in_.byte();
        s_.friction = header % 2 == 0 ? FrictionLaw::hazen_williams : FrictionLaw::darcy_weisbach;
        hilly_ = header & 2;
        wild_ = (header & 12) == 12;
        alike_ = (header & 48) == 48;
        s_.temperature = in_.between(0.5, 50);
        const int run = in_.byte(), nozzle_count = 1 + in_.below(4);
        for (int i = 0; i < nozzle_count; ++i) add_nozzle();
        add_supply();
        while (!in_.empty() && s_.points.size() < most_points) add_something();
        add_runs(run);

        out_.layout = find_layout(s_);
        if (!out_.layout.errors.empty()) return std::nullopt;
        out_.buildable = !wild_;
        return std::move(out_);
    }

  private:
    // ---- numbers

    template <class Choices>
    auto pick(const Choices& choices) {
        return choices[static_cast<std::size_t>(in_.below(static_cast<int>(choices.size())))];
    }

    double number(double ordinary) {
        if (!wild_ || !in_.one_in(8)) return ordinary;
        constexpr std::array extremes = {largest, 1e12, 1e9, 1e6, 1e-6, 1e-9, 1e-12, 1e-20, 1e-30};
        return pick(extremes);
    }
    Quantity above_zero(double low, double high) { return {number(in_.log_between(low, high)), 0}; }
    Quantity zero_or_more(double low, double high) {
        return in_.one_in(4) ? Quantity{0, 0} : above_zero(low, high);
    }

    /// Rows that rise in `at`; `value` moves by `step` from row to row.
    std::vector<ChartRow> chart(double at, double value, double step, bool from_zero) {
        std::vector<ChartRow> rows;
        const int count = 1 + in_.below(4);
        double x = from_zero ? 0 : at;
        for (int i = 0; i < count && x <= largest && value <= largest; ++i) {
            rows.push_back({{x, 0}, {value, 0}});
            x += at * in_.log_between(0.1, 10);
            value += step * (in_.one_in(4) ? 0 : in_.log_between(0.01, 10));
        }
        return rows;
    }

    Loss loss() {
        Loss loss;
        switch (in_.below(5)) {
            case 0:
                loss.kind = LossKind::cv;
                loss.coefficient = above_zero(0.1, 1000);
                break;
            case 1:
                loss.kind = LossKind::kv;
                loss.coefficient = above_zero(0.1, 1000);
                break;
            case 2:
                loss.kind = LossKind::k;
                loss.coefficient = above_zero(0.01, 100);
                loss.bore = above_zero(0.1 * inch, 48 * inch);
                break;
            case 3: {
                loss.kind = LossKind::chart;
                const double flow = above_zero(0.1 * gpm, 1000 * gpm).value;
                const double first = zero_or_more(0.01 * psi, 20 * psi).value;
                loss.chart = chart(flow, first, above_zero(0.01 * psi, 20 * psi).value, in_.one_in(2));
                break;
            }
            default:
                break;
        }
        return loss;
    }

    // ---- rows

    Index point(PointKind kind, Index row) {
        Point point;
        point.id = "p" + std::to_string(s_.points.size());
        point.kind = kind;
        point.row = row;
        const double height = hilly_ ? in_.between(-160, 160) : 0;
        point.elevation = Quantity{hilly_ ? number(height) : height, 0};
        s_.points.push_back(std::move(point));
        return static_cast<Index>(s_.points.size()) - 1;
    }

    template <class Row>
    static Index next(const std::vector<Row>& rows) {
        return static_cast<Index>(rows.size());
    }

    void add_nozzle() {
        Nozzle nozzle;
        nozzle.id = "n" + std::to_string(s_.nozzles.size());
        const double pressure = above_zero(1 * psi, 120 * psi).value;
        const double flow = above_zero(0.1 * gpm, 100 * gpm).value;
        nozzle.rows = chart(pressure, flow, flow, false);
        if (nozzle.rows.size() == 1) {
            constexpr std::array exponents = {0.5, 0.0, 0.05, 1.0, 0.4, 0.1};
            nozzle.exponent = pick(exponents);
            if (wild_ && in_.one_in(8)) nozzle.exponent = 1e-6;
        }
        if (in_.one_in(2)) {
            for (std::size_t i = 0; i < nozzle.rows.size(); ++i)
                nozzle.radius.push_back({5.0 + static_cast<double>(i), 0});
            nozzle.design = Quantity{pressure, 0};
            nozzle.min = Quantity{0.7 * pressure, 0};
            nozzle.max = Quantity{1.4 * pressure, 0};
        }
        s_.nozzles.push_back(std::move(nozzle));
    }

    Index add_supply() {
        Supply supply;
        supply.point = point(PointKind::supply, next(s_.supplies));
        supply.static_pressure = zero_or_more(1 * psi, 200 * psi);
        const double flow = above_zero(0.5 * gpm, 5000 * gpm).value;
        double left = supply.static_pressure.value, q = flow;
        for (int tests = in_.below(3); tests > 0; --tests) {
            left -= above_zero(0.1 * psi, 60 * psi).value;
            supply.tests.push_back({{q, 0}, {left, 0}});
            q *= 1.1 + 3 * in_.share();
        }
        s_.supplies.push_back(supply);
        return supply.point;
    }

    void add_pipe(Index from, Index to) {
        Pipe pipe;
        pipe.own_id = "pipe" + std::to_string(s_.pipes.size());
        pipe.from = from;
        pipe.to = to;
        PipeSize& size = pipe.size.edit();
        size.bore = {inch, 0};
        size.c = {150, 0};
        size.roughness = {1.5e-6, 0};
        size.material = Material::pvc;
        pipe.length = {30, 0};
        if (!alike_) {
            const int bits = in_.byte();
            size.bore = above_zero(0.1 * inch, 48 * inch);
            if (bits & 1) pipe.length = zero_or_more(1 * foot, 10000 * foot);
            if (bits & 2) pipe.k = zero_or_more(0.01, 100);
            if (bits & 4) size.c = above_zero(40, 170);
            if (bits & 8) size.roughness = above_zero(1e-7, 3e-5);
            if (bits & 16) pipe.fittings = 0.3 * in_.share();
            pipe.closed = (bits & 224) == 224;
        }
        s_.pipes.push_back(std::move(pipe));
    }

    Index add_device() {
        Device device;
        device.point = point(PointKind::device, next(s_.devices));
        constexpr std::array types = {DeviceType::meter, DeviceType::backflow, DeviceType::regulator,
                                      DeviceType::check, DeviceType::gate,     DeviceType::pump,
                                      DeviceType::master};
        device.type = pick(types);
        const int bits = in_.byte();
        device.closed = (bits & 7) == 7;
        device.one_way = device.type == DeviceType::backflow || device.type == DeviceType::check ||
                         device.type == DeviceType::regulator || (bits & 8);
        if (device.type == DeviceType::pump) {
            device.one_way = true;
            double q = in_.one_in(2) ? 0 : above_zero(0.1 * gpm, 100 * gpm).value;
            double rise = above_zero(1 * psi, 150 * psi).value;
            for (int rows = 1 + in_.below(3); rows > 0; --rows) {
                device.rise.push_back({{q, 0}, {rise, 0}});
                q += above_zero(1 * gpm, 1000 * gpm).value;
                rise -= in_.one_in(4) ? 0 : rise * in_.share();
            }
        } else {
            device.loss = loss();
            if (device.type == DeviceType::regulator || (bits & 48) == 48)
                device.set = above_zero(1 * psi, 100 * psi);
        }
        if (bits & 64) device.safe_flow = above_zero(1 * gpm, 100 * gpm);
        s_.devices.push_back(std::move(device));
        return s_.devices.back().point;
    }

    Index add_valve() {
        Valve valve;
        valve.point = point(PointKind::valve, next(s_.valves));
        valve.loss = loss();
        if (in_.one_in(3)) valve.set = above_zero(1 * psi, 100 * psi);
        s_.valves.push_back(std::move(valve));
        return s_.valves.back().point;
    }

    Index add_head() {
        Head head;
        head.point = point(PointKind::head, next(s_.heads));
        head.nozzle = in_.below(static_cast<int>(s_.nozzles.size()));
        const int bits = in_.byte();
        if (bits & 1) {
            head.joint.kind = bits & 2 ? LossKind::cv : LossKind::kv;
            head.joint.coefficient = above_zero(0.1, 100);
        }
        if (bits & 4) head.set = above_zero(1 * psi, 100 * psi);
        if ((bits & 56) == 56) {
            Valve own;
            own.point = head.point;
            own.head = next(s_.heads);
            own.loss = loss();
            if (bits & 64) own.set = above_zero(1 * psi, 100 * psi);
            head.valve = next(s_.valves);
            s_.valves.push_back(std::move(own));
        }
        s_.heads.push_back(std::move(head));
        return s_.heads.back().point;
    }

    void add_something() {
        const int what = in_.byte();
        const auto any = [&] { return in_.below(static_cast<int>(s_.points.size())); };
        const Index from = what & 64 ? static_cast<Index>(s_.points.size()) - 1 : any();
        switch (what % 8) {
            case 0:
                add_pipe(from, point(PointKind::plain, none));
                break;
            case 1:
            case 2:
                add_pipe(from, add_head());
                break;
            case 3:
            case 4: {
                const Index through = what % 8 == 3 ? add_device() : add_valve();
                add_pipe(from, through);
                add_pipe(through, point(PointKind::plain, none));
                break;
            }
            case 5: {
                const Index to = any();
                if (to != from) add_pipe(from, to);
                break;
            }
            case 6: {  // a device between two points that are there
                const Index to = any(), through = add_device();
                add_pipe(from, through);
                add_pipe(through, to);
                break;
            }
            default:
                add_pipe(add_supply(), from);
        }
    }

    void add_runs(int bits) {
        if (s_.valves.empty()) {
            s_.runs.push_back({"all", {}, false, {}});
            return;
        }
        Run some{"some", {}, true, {}}, every{"every", {}, true, {}};
        for (Index v = 0; v < next(s_.valves); ++v) {
            if (bits >> (v % 8) & 1) some.valves.push_back(v);
            every.valves.push_back(v);
        }
        s_.runs.push_back(std::move(every));
        if (some.valves.size() < s_.valves.size()) s_.runs.push_back(std::move(some));
    }

    Bytes in_;
    Decoded out_;
    System& s_ = out_.system;
    bool hilly_ = false, wild_ = false, alike_ = false;
};

}  // namespace

std::optional<Decoded> decode_system(std::span<const std::uint8_t> bytes) {
    return Decoder(bytes).decode();
}

}  // namespace evenhead::fuzz
