'use strict'
// The page of a run: asks the laptop what is on, counts by its clock, and keeps each press
// until the laptop has it.
const main = document.querySelector('main'), { base, zone, build, ...words } = document.body.dataset
const byId = id => document.getElementById(id)
const memory = {}, texts = new Map()
const store = (name, value) => { // false: this phone keeps nothing
  memory[name] = value
  try { localStorage.setItem(base + name, JSON.stringify(value)) } catch { return false }
  return true
}
const stored = name => {
  try { return JSON.parse(localStorage.getItem(base + name)) ?? memory[name] } catch { return memory[name] }
}
const queue = () => stored('queue') ?? []
let offset = stored('offset') ?? 0, newest = 0, heard = 0, silent = false, hash = '', changed = 0
let finger = false, waiting, stream, sending

let steady = Date.now() - performance.now()

const server = () => Date.now() + offset // the laptop's clock
const face = new Intl.DateTimeFormat('en-GB', { timeZone: zone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' })
const hour = ms => face.format(ms)
const put = (element, text) => { if (element.textContent !== text) element.textContent = text }

async function ask(path, body) {
  const sent = Date.now()
  const method = body ? 'POST' : 'GET', patience = new AbortController()
  setTimeout(() => patience.abort(), 8000)
  const answer = await fetch(base + path, { method, body, cache: 'no-store', signal: patience.signal })
  const clock = Number(answer.headers.get('X-Clock')), now = Date.now()
  // Another link is valid by now, it is too much at once, or the disk is full: no answer yet.
  if (!clock || answer.status >= 500 || [403, 404, 421, 429].includes(answer.status)) throw new Error(answer.status)
  if (now - sent < 4000 && sent >= newest) { // one asked later and answered sooner knows the clock better
    newest = sent
    store('offset', offset = Math.round(clock - (sent + now) / 2))
  }
  heard = now
  silent = false
  return answer
}

function parsed(html) {
  const part = document.createElement('template')
  part.innerHTML = html
  return part.content
}

function refocus(old, change) { // who had the focus in what changes has it on what is next
  const lost = old?.contains(document.activeElement)
  change()
  if (lost) (byId('on').querySelector('.big:enabled') ?? byId('on-title')).focus()
}

function show(view) {
  if (finger) { waiting = view; return }
  const next = parsed(view.html)
  if (next.querySelector('#answer')?.dataset.build !== build) return view.hash && location.reload()
  if (!byId('answer')) main.replaceChildren()
  for (const node of [...next.children]) {
    const old = byId(node.id), text = node.outerHTML, focus = document.activeElement
    if (texts.get(node.id) === text || old?.contains(focus) && focus.matches('input, select')) continue
    texts.set(node.id, text)
    for (const part of node.querySelectorAll('details')) part.open = byId(part.id)?.open ?? false
    if (node.querySelector('.big')?.textContent !== old?.querySelector('.big')?.textContent) changed = performance.now()
    refocus(old, () => old ? old.replaceWith(node) : main.append(node))
  }
  hash = view.hash
  store('view', view)
  draw()
}

function draw() { // what is kept, and the clock as it is after it
  const all = queue()
  byId('kept').hidden = !all.length
  byId('kept').replaceChildren(...all.map(press => {
    const item = document.createElement('li'), back = document.createElement('button')
    item.append(`${press.text}, ${hour(press.at)}: ${words.kept} `, back)
    put(back, words.back)
    back.onclick = () => { drop(press.id); texts.clear(); show({ ...stored('view'), hash: '' }); look() }
    return item
  }))
  for (const press of all) {
    const panel = byId('after-' + press.after)
    if (!panel) continue
    const card = panel.content.cloneNode(true), ends = press.at + Number(panel.dataset.span)
    const line = card.querySelector('.line')
    put(line, line.textContent.replace('{since}', hour(press.at)).replace('{until}', hour(ends)))
    for (const part of card.querySelectorAll('[data-until]')) part.dataset.until = ends
    for (const part of card.querySelectorAll('[data-since]')) part.dataset.since = press.at
    for (const part of card.querySelectorAll('[data-from]')) part.dataset.from = ends
    byId('on').className = panel.dataset.class
    refocus(byId('on'), () => byId('on').replaceChildren(card))
    texts.delete('on')
  }
  tick()
}

const drop = id => store('queue', queue().filter(press => press.id !== id))

async function look() {
  try {
    const answer = await ask('now?have=' + hash)
    if (answer.status === 200) show({ html: await answer.text(), hash: answer.headers.get('X-View') })
  } catch { silent = true }
  tick()
  send()
}

async function send() { // one after the other, until the laptop has them all
  if (sending) return
  sending = true
  try {
    for (let press; press = queue()[0];) {
      const answer = await ask('press?fragment', new URLSearchParams(press.body)), html = await answer.text()
      drop(press.id)
      if (answer.ok) { // what follows was pressed with this in sight
        const seen = encodeURIComponent(parsed(html).querySelector('#answer').dataset.revision)
        store('queue', queue().map(other => ({ ...other, body: other.body.replace(/seen=[^&]*/, 'seen=' + seen) })))
      }
      show({ html, hash: answer.headers.get('X-View') })
      const said = parsed(html).querySelector('#answer')
      put(byId('said'), [said.dataset.refused, said.textContent].filter(Boolean).join(': '))
    }
  } catch { silent = true } finally { sending = false }
  draw()
}

addEventListener('submit', event => {
  event.preventDefault()
  const form = event.target, button = event.submitter ?? form.querySelector('button')
  if (button.matches('.big') && performance.now() - changed < 600) return
  const at = Math.max(Math.round(server()), (queue().at(-1)?.at ?? 0) + 1) // never before the one before it
  const fields = new URLSearchParams(new FormData(form)), label = button.ariaLabel ?? button.textContent
  const id = Array.from(crypto.getRandomValues(new Uint8Array(16)), n => (n & 31).toString(32)).join('')
  fields.set('id', id)
  if (!fields.get('when') && !fields.get('at')) fields.set('at', at)
  const text = [label, fields.get('amount'), fields.get('unit')].filter(Boolean).join(' ')
  const press = { id, at, text, after: button.dataset.after, body: fields.toString() }
  put(byId('said'), store('queue', [...queue(), press]) ? '' : words.full)
  if (button.dataset.after) changed = performance.now()
  form.reset()
  draw()
  send()
})

function tick() {
  const jump = Date.now() - performance.now() - steady
  if (Math.abs(jump) > 2000) { // in sight it is no sleep: the phone's clock was set
    steady += jump
    if (!document.hidden) store('offset', offset -= jump)
  }
  const now = server(), two = n => String(n).padStart(2, '0')
  const clock = ms => {
    const s = Math.max(0, Math.ceil(ms / 1000)), minutes = Math.floor(s / 60)
    const hours = minutes < 60 ? minutes : `${Math.floor(minutes / 60)}:${two(minutes % 60)}`
    return `${hours}:${two(s % 60)}`
  }
  for (const part of main.querySelectorAll('.count')) {
    const { until, since, over } = part.dataset, left = until - now
    part.classList.toggle('over', left <= 0)
    put(part, since ? clock(now - since) : left > 0 ? clock(left) : over)
  }
  for (const button of main.querySelectorAll('[data-from]')) button.disabled = now < button.dataset.from
  document.body.classList.toggle('silent', silent)
  if (heard) put(byId('link'), silent ? `${words.silent} ${hour(heard + offset)}.` : words.here)
  else if (silent) put(byId('link'), words.none)
}

function listen() {
  steady = Date.now() - performance.now()
  if (document.hidden) { stream?.close(); stream = undefined; return }
  stream ??= new EventSource(base + 'events')
  stream.onmessage = look
  look()
}

const lift = () => setTimeout(() => { // once the click has come
  const view = waiting
  finger = false
  waiting = undefined
  if (view) show(view)
}, 50)
addEventListener('pointerdown', () => { finger = true })
for (const up of ['pointerup', 'pointercancel']) addEventListener(up, lift)
for (const wake of ['online', 'pageshow']) addEventListener(wake, look)
document.addEventListener('visibilitychange', listen)
setInterval(tick, 500)
setInterval(() => document.hidden || look(), 15000)
if (stored('view')) { const view = stored('view'); show({ ...view, hash: '' }) }
draw()
listen()
