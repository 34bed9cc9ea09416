// What the Go side calls. Only the parts of ECharts that draw our charts are named here, so that only
// they reach the bundle; text, axes' labels and rules come from Go as plain graphic elements.
import { init, setPlatformAPI, use } from "echarts/core";
import { BarChart, HeatmapChart, LineChart, ScatterChart } from "echarts/charts";
import { GraphicComponent, GridComponent, VisualMapComponent } from "echarts/components";
import { SVGRenderer } from "echarts/renderers";
import { setAsPrimitive } from "zrender/lib/core/util.js";

use([
  BarChart,
  HeatmapChart,
  LineChart,
  ScatterChart,
  GraphicComponent,
  GridComponent,
  VisualMapComponent,
  SVGRenderer,
]);

// measureWith hands ECharts the text widths that Go knows: there is no canvas to ask here.
export function measureWith(widthOf) {
  setPlatformAPI({ measureText: (text, font) => ({ width: widthOf(String(text), String(font)) }) });
}

// draw turns one option, as JSON, into one SVG string, and leaves nothing behind. The option is nobody else's: marked so, ECharts
// does not copy it, twice, which took a sixth of the time.
export function draw(optionJSON, width, height) {
  const chart = init(null, null, { renderer: "svg", ssr: true, width, height });
  try {
    const option = JSON.parse(optionJSON);
    setAsPrimitive(option);
    chart.setOption(option);
    return chart.renderToSVGString();
  } finally {
    chart.dispose();
  }
}
