// SPDX-License-Identifier: GPL-3.0-or-later
// Every example as a page in Chromium: no sideways scroll at 360, 800 and 1280 pixels, sheets on one
// printed page of A4 and of Letter, no finding of axe-core and of html-validate.
//
//   cd tests/pages && npm install && node browser_check.mjs PROGRAM ../.. [FOLDER for screenshots]
//
// It needs Debian's chromium and is run by hand: CI holds what needs no browser (page_check.py).
import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import axe from "axe-core";
import { HtmlValidate } from "html-validate";
import { chromium } from "playwright-core";

const [program, top, shots] = process.argv.slice(2);
const widths = [360, 800, 1280];
const pages = mkdtempSync(path.join(tmpdir(), "pages-"));

function words(line) {
    return line.match(/"[^"]*"|\S+/g).map((word) => word.replaceAll('"', ""));
}

const made = [];
for (const name of readdirSync(path.join(top, "examples")).sort()) {
    let text;
    try {
        text = readFileSync(path.join(top, "examples", name, "command"), "utf8");
    } catch {
        continue;
    }
    text.trim().split("\n").forEach((line, i) => {
        const file = path.join(pages, `${name}-${i + 1}.html`);
        const begin = performance.now();
        const run = spawnSync(path.resolve(program), [...words(line).slice(1), "--as", "html"], { cwd: top });
        if (run.stdout.length === 0) throw new Error(`${line}: ${run.stderr}`);
        writeFileSync(file, run.stdout);
        made.push({ name: `${name}-${i + 1}`, line, file, bytes: run.stdout.length, ms: performance.now() - begin });
    });
}

const validator = new HtmlValidate({ extends: ["html-validate:standard"], rules: { "no-inline-style": "off" } });
const browser = await chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
});
let wrong = 0;
const say = (page, text) => {
    wrong += 1;
    console.log(`${page.name}: ${text}`);
};
const context = await browser.newContext({ bypassCSP: true });
for (const page of made) {
    const tab = await context.newPage();
    const errors = [];
    tab.on("console", (message) => errors.push(message.text()));
    await tab.goto("file://" + page.file);
    for (const width of widths) {
        await tab.setViewportSize({ width, height: 900 });
        const wide = await tab.evaluate(() => document.documentElement.scrollWidth);
        if (wide > width) say(page, `${wide} pixels wide at ${width}`);
        if (shots) await tab.screenshot({ path: path.join(shots, `${page.name}-${width}.png`), fullPage: true });
    }
    await tab.setViewportSize({ width: 360, height: 900 });
    await tab.evaluate(axe.source);
    const found = await tab.evaluate(() => globalThis.axe.run());
    for (const one of found.violations) {
        say(page, `axe-core, ${one.id}: ${one.help}: ${one.nodes.slice(0, 2).map((node) => node.html.slice(0, 140)).join(" | ")}`);
    }
    if (errors.length > 0) say(page, errors.join("; "));
    if (page.line.includes("--sheet")) {
        for (const format of ["A4", "Letter"]) {
            const pdf = (await tab.pdf({ format, preferCSSPageSize: false })).toString("latin1");
            const count = (pdf.match(/\/Type\s*\/Page[^s]/g) ?? []).length;
            if (count !== 1) say(page, `${count} printed pages of ${format}`);
        }
    }
    const report = await validator.validateFile(page.file);
    for (const result of report.results) {
        for (const message of result.messages.slice(0, 3)) say(page, `html-validate, line ${message.line}: ${message.ruleId}: ${message.message}`);
    }
    if (page.bytes > 200000) say(page, `${page.bytes} bytes`);
    await tab.close();
}
await browser.close();
const most = made.reduce((a, b) => (b.bytes > a.bytes ? b : a));
console.log(`${made.length} pages, ${wrong} findings; the largest has ${most.bytes} bytes (${most.name})`);
process.exit(wrong === 0 ? 0 : 1);
