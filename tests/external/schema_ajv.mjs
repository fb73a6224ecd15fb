// Judge JSON documents, one a line on the input, by a schema of draft 2020-12 in ajv's
// strict mode.  node schema_ajv.mjs MODULES SCHEMA; prints an array of true and false.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const [modules, schema] = process.argv.slice(2);
const Ajv = createRequire(modules + "/")("ajv/dist/2020").default;
const judge = new Ajv({ strict: true }).compile(
  JSON.parse(readFileSync(schema, "utf8")));
const lines = readFileSync(0, "utf8").split("\n").filter((line) => line !== "");
console.log(JSON.stringify(lines.map((line) => judge(JSON.parse(line)))));
