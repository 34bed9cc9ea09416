// Reads one table of an extract, FILE.arrow or FILE.parquet, and prints it as one JSON object:
// {"about": {key: text}, "columns": [{"name", "unit", "meaning", "codes", "source", …}], "rows": [[cell, …], …]}
import { readFileSync } from 'node:fs'
import { tableFromIPC } from 'apache-arrow'
import { asyncBufferFromFile, parquetMetadataAsync, parquetReadObjects } from 'hyparquet'

const plain = (cell) => (typeof cell === 'bigint' ? Number(cell) : cell ?? null)

function readArrow(path) {
  const table = tableFromIPC(readFileSync(path))
  const columns = table.schema.fields.map((f) => ({ name: f.name, ...Object.fromEntries(f.metadata) }))
  const vectors = columns.map((c) => table.getChild(c.name))
  const rows = Array.from({ length: table.numRows }, (_, i) => vectors.map((v) => plain(v.get(i))))
  return { about: Object.fromEntries(table.schema.metadata), columns, rows }
}

async function readParquet(path) {
  const file = await asyncBufferFromFile(path)
  const metadata = await parquetMetadataAsync(file)
  const about = Object.fromEntries(metadata.key_value_metadata.map((pair) => [pair.key, pair.value]))
  about.created_by = metadata.created_by
  const columns = JSON.parse(about.columns)
  const rows = (await parquetReadObjects({ file, metadata })).map((row) => columns.map((c) => plain(row[c.name])))
  return { about, columns, rows }
}

const path = process.argv[2]
const answer = path.endsWith('.arrow') ? readArrow(path) : await readParquet(path)
process.stdout.write(JSON.stringify(answer))
