// The style of the plan, alone or in a page. Literal colours, since programs that draw SVG 1.1 know no
// variables. One accent for what is outside limits, with a hatch, so that it shows in black and white; the
// way to the critical head as a band beneath the pipes; everything told apart by shape as well as by colour.
// Against its paper every colour of letters has a contrast of at least 4.5, every colour of marks at least 3
// (WCAG 2.1).
#include "io/plan/plan.hpp"

namespace evenhead::io {

std::string_view plan_style() {
    return R"css(
.plan { background: #ffffff; font-family: "DejaVu Sans", Verdana, Arial, sans-serif; font-size: 11px }
.plan text { fill: #1c2a30; stroke: none }
.plan .paper { fill: #ffffff; stroke: none }
.plan .title { font-size: 19px; font-weight: bold }
.plan .verdict { font-size: 14px; font-weight: bold }
.plan .line { font-size: 13px }
.plan .small, .plan .elevation, .plan .size { font-size: 10px }
.plan .small, .plan .size { fill: #52636b }
.plan .elevation { fill: #3d4f8a }
.plan .strong { font-weight: bold }
.plan path, .plan use, .plan rect { fill: none; stroke-linecap: round; stroke-linejoin: round }
.plan .rule { stroke: #c5cfd3; stroke-width: 1 }
.plan .measure { stroke: #1c2a30; stroke-width: 1.2; stroke-linecap: butt }
.plan .solid { fill: #1c2a30; stroke: none }
.plan .area { stroke: #9aa9af; stroke-width: 1; stroke-dasharray: 2 4 }
.plan .throw { fill: #0f766e; fill-opacity: .05; stroke: #0f766e; stroke-opacity: .3; stroke-width: .8 }
.plan .throw.open { fill: none; stroke-dasharray: 3 4 }
.plan .legend .throw { fill-opacity: .12; stroke-opacity: .9 }
.plan .way { stroke: #ffd966; stroke-width: 11.5 } .plan .way-edge { stroke: #b8860b; stroke-width: 14 }
.plan .lateral { stroke: #5c6f78 }
.plan .main { stroke: #22405c }
.plan .core { stroke: #e8eff5; pointer-events: none }
.plan .w0 { stroke-width: 1.4 } .plan .w1 { stroke-width: 2.2 } .plan .w2 { stroke-width: 3.2 } .plan .w3 { stroke-width: 4.4 }
.plan .main.w0 { stroke-width: 4 } .plan .main.w1 { stroke-width: 5 } .plan .main.w2 { stroke-width: 6.2 } .plan .main.w3 { stroke-width: 7.6 }
.plan .core.w0 { stroke-width: 1.4 } .plan .core.w1 { stroke-width: 2.2 } .plan .core.w2 { stroke-width: 3.2 } .plan .core.w3 { stroke-width: 4.4 }
.plan .dense .w0 { stroke-width: .9 } .plan .dense .w1 { stroke-width: 1.3 } .plan .dense .w2 { stroke-width: 1.8 } .plan .dense .w3 { stroke-width: 2.4 }
.plan .dense .main.w0 { stroke-width: 2.4 } .plan .dense .main.w1 { stroke-width: 3 } .plan .dense .main.w2 { stroke-width: 3.6 } .plan .dense .main.w3 { stroke-width: 4.4 }
.plan .dense .way { stroke-width: 8 } .plan .dense .way-edge { stroke-width: 10 } .plan .dense .over-pipes { stroke-width: 8 } .plan .fine .way { stroke-width: 6 } .plan .fine .way-edge { stroke-width: 7.6 } .plan .fine .over-pipes { stroke-width: 5 }
.plan .fine .lateral, .plan .fine .core { stroke-width: .7 } .plan .fine .main { stroke-width: 1.9 }
.plan .closed-pipe { stroke-dasharray: 5 6 }
.plan .over-pipes { stroke: url(#hatch); stroke-width: 12; stroke-linecap: butt; pointer-events: none }
.plan .ground { fill: #ffffff; stroke: none } .plan .hatch-line { stroke: #c2410c; stroke-width: 2.4; stroke-linecap: butt }
.plan .over .halo { fill: url(#hatch); stroke: #c2410c; stroke-width: 1.2 } .plan .halo { display: none } .plan .over .halo { display: inline }
.plan .point .mark { fill: #5c6f78; stroke: none } .plan .point.over .mark { fill: #c2410c }
.plan .within .mark { fill: #0f766e; stroke: #ffffff; stroke-width: .8 }
.plan .low .mark { fill: #c2410c; stroke: #ffffff; stroke-width: .8 }
.plan .high .mark { fill: url(#hatch); stroke: #c2410c; stroke-width: 1.6 }
.plan .dry .mark { fill: #ffffff; stroke: #c2410c; stroke-width: 1.8 }
.plan .off .mark { fill: #ffffff; stroke: #7f8c92; stroke-width: 1.2 }
.plan .valve .mark { fill: #ffffff; stroke: #22405c; stroke-width: 1.8 } .plan .valve.open .mark { fill: #22405c }
.plan .own .plate { fill: #ffffff; stroke: #22405c; stroke-width: 1.3 } .plan .own.open .plate { fill: #dfe9f1 }
.plan .device .mark { fill: #ffffff; stroke: #22405c; stroke-width: 1.6 } .plan .device text { font-size: 9.5px; font-weight: bold; fill: #22405c }
.plan .bar { fill: #1c2a30; stroke: #ffffff; stroke-width: .8 }
.plan .supply .mark { fill: #22405c; stroke: none; fill-rule: evenodd }
.plan .supply .mark, .plan .supply .halo { stroke-linejoin: miter }
.plan .critical { fill: none; stroke: #1c2a30; stroke-width: 2 }
.plan .suspect .mark { fill: #5b3a9e; stroke: #ffffff; stroke-width: 1.4 } .plan .suspect text { fill: #ffffff; font-size: 9.5px; font-weight: bold }
.plan .suspect .leader { stroke: #5b3a9e; stroke-width: 1.4 } .plan .suspect .spot { fill: none; stroke: #5b3a9e; stroke-width: 1.6 }
.plan .suspect .band { stroke: #5b3a9e; stroke-width: 9; stroke-dasharray: 1.5 4; stroke-linecap: butt }
.plan .dim { opacity: .38 }
@media (min-width: 641px) { .plan .narrow { display: none } }
@media (max-width: 640px) {
  .plan .wide { display: none }
  .plan .head .mark, .plan .valve .mark, .plan .device .mark, .plan .device text, .plan .supply .mark, .plan .plate,
  .plan .halo, .plan .bar, .plan .critical { transform: scale(var(--narrow, 1)) }
  .plan .device.small text { display: none }
  #way, .plan .pipes path, .plan .throw, .plan .area { vector-effect: non-scaling-stroke }
  .plan .w0 { stroke-width: .9 } .plan .w1 { stroke-width: 1.3 } .plan .w2 { stroke-width: 1.8 } .plan .w3 { stroke-width: 2.4 }
  .plan .main.w0 { stroke-width: 2.4 } .plan .main.w1 { stroke-width: 3 } .plan .main.w2 { stroke-width: 3.6 } .plan .main.w3 { stroke-width: 4.4 }
  .plan .core.w0 { stroke-width: .8 } .plan .core.w1 { stroke-width: 1.2 } .plan .core.w2 { stroke-width: 1.6 } .plan .core.w3 { stroke-width: 2.2 }
  .plan .suspect :is(.leader, .spot, .band) { vector-effect: non-scaling-stroke } .plan .suspect .band { stroke-width: 6 }
  .plan .way { stroke-width: 7.5 } .plan .way-edge { stroke-width: 9.5 } .plan .over-pipes { stroke-width: 8 }
}
@media screen and (prefers-color-scheme: dark) {
  .plan { background: #12191d } .plan text { fill: #e6edf0 } .plan .paper { fill: #12191d }
  .plan .small, .plan .size { fill: #a9b8bf } .plan .elevation { fill: #b3c1f5 } .plan .rule { stroke: #3b4a51 }
  .plan .measure, .plan .critical { stroke: #e6edf0 } .plan .solid { fill: #e6edf0 } .plan .area { stroke: #6b7b82 }
  .plan .throw { fill: #4fd1c0; stroke: #4fd1c0 } .plan .throw.open { fill: none } .plan .way { stroke: #5c4a0e } .plan .way-edge { stroke: #a8891b }
  .plan .lateral { stroke: #94a6ae } .plan .main { stroke: #9fc3e6 } .plan .core { stroke: #1c2b38 }
  .plan .ground { fill: #12191d } .plan .hatch-line { stroke: #ff8f63 } .plan .over .halo { stroke: #ff8f63 }
  .plan .point .mark { fill: #94a6ae } .plan .point.over .mark { fill: #ff8f63 }
  .plan .within .mark { fill: #4fd1c0; stroke: #12191d } .plan .low .mark { fill: #ff8f63; stroke: #12191d }
  .plan .high .mark { stroke: #ff8f63 } .plan .dry .mark { fill: #12191d; stroke: #ff8f63 }
  .plan .off .mark { fill: #12191d; stroke: #7d8c93 }
  .plan .valve .mark { fill: #12191d; stroke: #9fc3e6 } .plan .valve.open .mark { fill: #9fc3e6 }
  .plan .own .plate { fill: #12191d; stroke: #9fc3e6 } .plan .own.open .plate { fill: #24384a }
  .plan .device .mark { fill: #12191d; stroke: #9fc3e6 } .plan .device text { fill: #9fc3e6 }
  .plan .suspect .mark { fill: #c9b3ff; stroke: #12191d } .plan .suspect text { fill: #12191d }
  .plan .suspect :is(.leader, .spot, .band) { stroke: #c9b3ff }
  .plan .bar { fill: #e6edf0; stroke: #12191d } .plan .supply .mark { fill: #9fc3e6 }
}
)css";
}

}  // namespace evenhead::io
