// Bundles entry.js with the parts of ECharts it names into dist/charts.js, which draws the pictures inside the program, and live.js
// into dist/live.js, which goes into a page that answers to a pointer. The licences of what the bundle
// holds stand at its head: the ES modules' own headers are plain comments, which a minifier drops.
import { readFileSync } from "node:fs";
import { build } from "esbuild";

const packages = ["echarts", "zrender", "tslib"];
const textOf = (name, file) => readFileSync(`node_modules/${name}/${file}`, "utf8").trim();
const versionOf = (name) => JSON.parse(textOf(name, "package.json")).version;
const licenceOf = {
  echarts: () => textOf("echarts", "NOTICE") + "\n\n" + textOf("echarts", "LICENSE"),
  zrender: () => textOf("zrender", "LICENSE"),
  tslib: () => textOf("tslib", "LICENSE.txt"),
};
const banner = packages
  .map((name) => `${name} ${versionOf(name)}\n\n${licenceOf[name]()}`)
  .join("\n\n----\n\n")
  .replaceAll("*/", "* /");

const shared = {
  bundle: true,
  format: "iife",
  target: "es2017",
  minify: true,
  legalComments: "inline",
  banner: { js: `/*!\n${banner}\n*/` },
  define: { "process.env.NODE_ENV": '"production"' },
};
await build({ ...shared, entryPoints: ["entry.js"], outfile: "dist/charts.js", globalName: "tripwakeCharts" });
await build({ ...shared, entryPoints: ["live.js"], outfile: "dist/live.js" });
