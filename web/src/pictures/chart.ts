/** The chart library with the parts that are used, loaded when a chart is first shown. */
import { BarChart, CustomChart, LineChart, ScatterChart } from 'echarts/charts';
import { DataZoomInsideComponent, GridComponent, MarkAreaComponent, MarkLineComponent, MarkPointComponent, TooltipComponent } from 'echarts/components';
import { init, use } from 'echarts/core';
import { SVGRenderer } from 'echarts/renderers';

use([BarChart, CustomChart, LineChart, ScatterChart, GridComponent, TooltipComponent, DataZoomInsideComponent, MarkAreaComponent, MarkLineComponent, MarkPointComponent, SVGRenderer]);

export type Chart = ReturnType<typeof init>;

export const makeChart = (element: HTMLElement): Chart => init(element, undefined, { renderer: 'svg' });
