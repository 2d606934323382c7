// Lints the OpenAPI description on standard input by the linter's own strict rules.
import { readFileSync } from 'node:fs';
import { createConfig, lintFromString } from '@redocly/openapi-core';

const config = await createConfig({ extends: ['recommended-strict'] });
const found = await lintFromString({ source: readFileSync(0, 'utf8'), absoluteRef: 'openapi.json', config });
for (const p of found) {
  console.log(`${p.severity} ${p.ruleId}: ${p.message} at ${p.location.map((l) => l.pointer).join(', ')}`);
}
process.exit(found.length ? 1 : 0);
