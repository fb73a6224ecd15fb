// Holds records against schemas: node json_ajv.mjs MODULES SCHEMA...
// A line in: {"schema": number, "record": ...}; a line out: null, or what is wrong.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { createInterface } from "node:readline";

const [modules, ...schemas] = process.argv.slice(2);
const Ajv = createRequire(modules + "/")("ajv/dist/2020").default;
const ajv = new Ajv({ strict: true, strictTypes: true, strictTuples: true, strictRequired: true });
const documents = schemas.map((path) => JSON.parse(readFileSync(path, "utf8")));
documents.forEach((document) => ajv.addSchema(document)); // they refer to each other
const validate = documents.map((document) => ajv.getSchema(document.$id));

for await (const line of createInterface({ input: process.stdin })) {
    const { schema, record } = JSON.parse(line);
    const good = validate[schema](record);
    console.log(JSON.stringify(good ? null : ajv.errorsText(validate[schema].errors)));
}
