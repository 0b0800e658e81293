// Prints pages by a browser to PDF and looks at them as it lays them out.
//
//   BROTHRUN_PAPER=FOLDER node print.mjs chromium|firefox JOBS.json
//
// FOLDER is where puppeteer-core and axe-core were installed with npm. A job is
// {html, pdf, font, width, height, margin, png, axe}, lengths in mm. It prints a line of
// JSON with browser and version, then one a job: how many circles there are for jars, text
// that is cut off or sticks out of its place, text under 8 pt, how wide the page is on a
// screen of 320 px, the text of the page, and what axe-core finds.
import { createRequire } from 'node:module';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const require = createRequire(join(process.env.BROTHRUN_PAPER, '/'));
const puppeteer = require('puppeteer-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

const [name, jobs] = process.argv.slice(2);
const profile = mkdtempSync(join(tmpdir(), 'brothrun-paper-'));
const chromium = {
  executablePath: '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
    '--disable-component-update', '--disable-sync', '--disable-dev-shm-usage'],
};
const browser = await puppeteer.launch({
  browser: name === 'firefox' ? 'firefox' : 'chrome', headless: true, userDataDir: profile,
  ...(name === 'firefox' ? { executablePath: '/usr/bin/firefox-esr' } : chromium),
});
console.log(JSON.stringify({ browser: name, version: await browser.version() }));

// look measures what is laid out: text in a place of its own (a cell, a label, a circle)
// has to lie within it.
const look = (width) => {
  const seen = { cut: [], small: [], circles: document.querySelectorAll('circle.jar').length };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node; (node = walker.nextNode());) {
    const text = node.data.trim(), parent = node.parentElement;
    if (!text || parent.closest('.unseen') || parent.tagName === 'STYLE') continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const boxes = [...range.getClientRects()].filter((box) => box.width > 1);
    if (!boxes.length || getComputedStyle(parent).clipPath !== 'none') continue;
    const svg = parent.closest('svg');
    const points = parseFloat(getComputedStyle(parent).fontSize) * 0.75 * (svg ? parent.getScreenCTM().a : 1);
    if (points < 7.99) seen.small.push(`${text} (${points.toFixed(2)} pt)`);
    const place = (svg || parent.closest('li, td, th, dd, dt, figcaption') || document.body).getBoundingClientRect();
    for (const box of boxes) {
      if (box.left < place.left - 0.5 || box.right > place.right + 0.5 || box.right > width + 0.5 ||
          (parent.closest('.labels li') && (box.top < place.top - 0.5 || box.bottom > place.bottom + 0.5))) {
        seen.cut.push(`${text} (${box.left.toFixed(1)} to ${box.right.toFixed(1)} in ${place.left.toFixed(1)} to ${place.right.toFixed(1)})`);
      }
    }
  }
  return seen;
};

try {
  for (const job of JSON.parse(readFileSync(jobs, 'utf8'))) {
    const page = await browser.newPage();
    await page.goto(pathToFileURL(job.html).href);
    if (job.font) await page.addStyleTag({ content:
      `* { font-family: "${job.font}" !important; } @page { @bottom-right { font-family: "${job.font}"; } }` });
    const seen = {};
    if (name === 'chromium') {
      const inside = Math.floor(((job.width - 2 * job.margin) / 25.4) * 96);
      await page.emulateMediaType('print');
      await page.setViewport({ width: inside, height: 1000 });
      Object.assign(seen, await page.evaluate(look, inside));
      await page.emulateMediaType('screen');
      await page.setViewport({ width: 320, height: 640 });
      seen.wide = await page.evaluate(() => document.documentElement.scrollWidth);
      await page.setViewport({ width: 1000, height: 800 });
      if (job.axe) {
        await page.evaluate(axe);
        seen.axe = await page.evaluate(async () => (await globalThis.axe.run({ resultTypes: ['violations'] })).violations
          .map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => n.target).join(' ')}`));
      }
    } else {
      Object.assign(seen, { circles: await page.evaluate(() => document.querySelectorAll('circle.jar').length) });
    }
    seen.text = await page.evaluate(() => document.body.innerText);
    seen.title = await page.title();
    await page.emulateMediaType?.('print').catch(() => {});
    await page.pdf({ path: job.pdf, preferCSSPageSize: true, printBackground: false, margin: { top: 0, left: 0, right: 0, bottom: 0 },
      width: `${job.width}mm`, height: `${job.height}mm`, timeout: 60000 });
    console.log(JSON.stringify({ ...seen, html: job.html, pdf: job.pdf }));
    await page.close();
  }
} finally {
  await browser.close();
  rmSync(profile, { recursive: true, force: true });
}
