// Bundles three.js into the one file that is named on the command line, with its version and license at the top.
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const library = join(here, "node_modules", "three");
const { version } = JSON.parse(readFileSync(join(library, "package.json"), "utf8"));
const license = readFileSync(join(library, "LICENSE"), "utf8").trim();
await build({
  absWorkingDir: here,
  entryPoints: ["three.js"],
  outfile: process.argv[2],
  bundle: true,
  minify: true,
  charset: "ascii",
  format: "iife",
  globalName: "EarshedThree",
  target: "es2020",
  legalComments: "none",
  banner: { js: `/*! three.js ${version}\n\n${license}\n*/` },
  logLevel: "warning",
});
