// Reads a recording with DuckDB's CSV reader on one thread, for comparison.
//
//   npm install @duckdb/node-api && node duckdb_rate.mjs FILE [THREADS]
import { statSync } from 'node:fs';
import { DuckDBInstance } from '@duckdb/node-api';

const [file, threads = '1'] = process.argv.slice(2);
const instance = await DuckDBInstance.create(':memory:', { threads });
const connection = await instance.connect();
const begin = process.hrtime.bigint();
const before = process.cpuUsage();
await connection.run(`create table log as select * from read_csv('${file}', header = true)`);
const seconds = Number(process.hrtime.bigint() - begin) * 1e-9;
const used = process.cpuUsage(before);
const cpu = (used.user + used.system) * 1e-6;
const rows = (await connection.runAndReadAll('select count(*) from log')).getRows()[0][0];
const megabytes = statSync(file).size * 1e-6;
console.log(`${megabytes.toFixed(1)} MB, ${rows} rows, ${threads} thread(s)`);
console.log(`wall ${seconds.toFixed(2)} s = ${(megabytes / seconds).toFixed(0)} MB/s; ` +
            `processor ${cpu.toFixed(2)} s = ${(megabytes / cpu).toFixed(0)} MB/s`);
