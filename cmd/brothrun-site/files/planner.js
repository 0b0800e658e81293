'use strict'
// The planner: a kitchen, a run, and the answer, which changes as she moves what she asks.
{
  const part = id => document.getElementById(id)
  const kitchen = 'kitchen.toml'
  const said = name => document.querySelector('#texts').content.querySelector(`[data-text=${name}]`).textContent
  let files = {}, run = 'run.toml', moving = false

  const ask = (question, more = {}) => phone.answer({ runs: [run], ...question, ...more }, files)
  const toml = () => Object.keys(files).filter(name => name.endsWith('.toml') && name !== kitchen).sort()

  // keep asks for a change, and keeps the files it makes.
  async function keep(question) {
    const answer = await phone.within(now => phone.answer({ runs: [run], ...question }, now))
    files = await phone.files()
    return answer
  }

  function problems(all = []) {
    for (const field of document.querySelectorAll('[aria-invalid]')) {
      field.removeAttribute('aria-invalid')
      field.removeAttribute('aria-describedby')
    }
    part('problems').replaceChildren(...all.map(({ key, text, hint }, i) => {
      const line = document.createElement('p')
      line.className = 'wrong'
      line.id = 'problem-' + i
      line.textContent = [text, hint].filter(Boolean).join('. Try: ')
      const name = { bones: 'weight', start: 'time', finish_by: 'time' }[key] ?? key
      const field = key && (document.querySelector(`form [name="${CSS.escape(name)}"]`) ?? document.querySelector(`form [name="${CSS.escape(key)}"]`))
      field?.setAttribute('aria-invalid', 'true')
      field?.setAttribute('aria-describedby', line.id)
      return line
    }))
  }

  // fields are those of the run's form, by the names of the command's flags.
  const fields = all => {
    const value = name => part('run').elements[name]?.value, weight = value('weight'), time = value('time')
    const set = {
      kind: value('kind'), bones: weight === undefined ? value('bones') : weight && `${weight} ${value('unit')}`,
      pot: value('pot'), jars: value('jars'), [value('way')]: time || undefined
    }
    return Object.fromEntries(Object.entries(set).filter(([, text]) => text !== undefined && (all || text)))
  }

  function figures(answer) {
    const rows = answer.figures?.rows ?? [], list = document.createElement('dl')
    for (const { label, value, remark } of rows) {
      const dd = document.createElement('dd'), strong = document.createElement('b')
      if (label) list.append(Object.assign(document.createElement('dt'), { textContent: label }))
      strong.textContent = value
      dd.append(strong, ' ', Object.assign(document.createElement('span'), { textContent: remark }))
      list.append(dd)
    }
    part('figures').replaceChildren(...rows.length ? [list] : [])
    const short = rows.filter(({ label }) => ['Strained', 'Jars', 'Canner loads'].includes(label))
    if (part('short')) part('short').textContent = short.map(({ label, value }) => `${label}: ${value}`).join(' · ')
  }

  function plan() {
    const answer = ask({ ask: 'plan' })
    part('plan').innerHTML = answer.html ?? ''
    part('takes').hidden = !answer.html
    figures(answer)
    problems(answer.problems)
    if (answer.problems?.some(({ key }) => key === 'altitude')) part('kitchen-more').open = true
    part('said').textContent = part('problems').textContent || part('figures').textContent
    part('day').href = 'day.html?run=' + encodeURIComponent(run)
  }

  function forms(kitchenToo = true) {
    if (kitchenToo) part('kitchen').innerHTML = ask({ ask: 'kitchen' }).html
    part('run').innerHTML = ask({ ask: 'run' }).html
    for (const range of part('run').querySelectorAll('[type=range]')) follow(range)
    part('several').hidden = toml().length < 2
    part('which').replaceChildren(...toml().map(name => new Option(name, name, name === run, name === run)))
  }

  // follow lets a slider and its number say the same.
  function follow(range) {
    const field = part(range.dataset.of)
    range.oninput = () => { field.value = range.value }
    field.oninput = () => { range.value = field.value }
  }

  function listed() {
    part('files').replaceChildren(...[kitchen, ...toml()].filter(name => files[name]).flatMap(name => {
      const save = document.createElement('button')
      save.textContent = `${said('save')} ${name}`
      save.onclick = () => phone.save(name, 'application/toml', files[name])
      if (name === kitchen) return [save]
      const away = document.createElement('button')
      away.textContent = `${said('delete')} ${name}`
      away.onclick = async () => {
        if (!confirm(said('sure'))) return
        await phone.within(() => ({ files: { [name]: null, [name.replace(/toml$/, 'ics')]: null } }))
        await all()
      }
      return [save, away]
    }))
  }

  async function all() {
    files = await phone.files()
    if (!files[run]) run = toml()[0] ?? 'run.toml'
    if (!files[run]) await keep({ ask: 'run' })
    forms()
    plan()
    listed()
  }

  part('run').addEventListener('input', () => { // while she moves it
    if (moving) return
    moving = true
    requestAnimationFrame(() => {
      moving = false
      const answer = ask({ ask: 'figures', set: fields() })
      figures(answer)
      problems(answer.problems)
    })
  })
  for (const of of ['run', 'kitchen']) {
    part(of).addEventListener('submit', event => event.preventDefault())
    part(of).addEventListener('change', async event => {
      const { name, value } = event.target
      const answer = await keep({ ask: of, set: of === 'run' ? fields(true) : { [name]: value } })
      if (answer.status && answer.problems?.length) return problems(answer.problems)
      if (of === 'kitchen') forms(false)
      plan()
      listed()
    })
  }
  part('which').onchange = event => {
    run = event.target.value
    forms()
    plan()
  }
  part('new').onclick = async () => {
    for (let n = 2; files[run]; n++) run = `run-${n}.toml`
    await keep({ ask: 'run', set: {} })
    await all()
    part('run-title').scrollIntoView()
  }

  for (const button of document.querySelectorAll('[data-ask]')) {
    button.onclick = async () => {
      const { ask: what } = button.dataset, answer = what === 'calendar' ? await keep({ ask: what }) : ask({ ask: what })
      if (what === 'calendar') part('calendar-note').hidden = false
      if (!answer.file && !answer.html) return problems(answer.problems)
      if (answer.file?.type.startsWith('text/html')) return sheet(new TextDecoder().decode(phone.octets(answer.file.data)))
      if (answer.file) return phone.save(answer.file.name, answer.file.type, phone.octets(answer.file.data))
      part('plan').innerHTML = answer.html
    }
  }

  // sheet shows a page to print, by its own style alone.
  function sheet(html) {
    // The policy of the page lets no style stand in HTML, but be set.
    const styles = ['.screen button { font: 16px sans-serif; min-height: 56px; margin: 4px; padding: 0 16px }']
    const bare = html.replace(/<style>([^]*?)<\/style>/g, (_, text) => { styles.push(text); return '' }).replaceAll(' style="', ' data-style="')
    const page = new DOMParser().parseFromString(bare, 'text/html')
    const style = new CSSStyleSheet()
    style.replaceSync(styles.join('\n'))
    for (const link of document.querySelectorAll('link[rel=stylesheet]')) link.disabled = true
    document.adoptedStyleSheets = [style]
    document.body.className = page.body.className
    part('sheet').replaceChildren(part('bar').content.cloneNode(true), ...page.body.childNodes)
    for (const node of part('sheet').querySelectorAll('[data-style]')) node.style.cssText = node.dataset.style
    part('pages').hidden = true
    part('sheet').hidden = false
    part('print').onclick = () => print()
    part('back').onclick = () => {
      document.adoptedStyleSheets = []
      for (const link of document.querySelectorAll('link[rel=stylesheet]')) link.disabled = false
      document.body.className = ''
      part('sheet').hidden = true
      part('sheet').replaceChildren()
      part('pages').hidden = false
      document.querySelector('[data-ask=sheet]').focus()
    }
    part('print').focus()
  }

  part('open').onchange = async event => {
    for (const file of event.target.files) {
      const bytes = new Uint8Array(await file.arrayBuffer())
      await phone.within(() => ({ files: { [file.name]: bytes } }))
      if (file.name !== kitchen) run = file.name
    }
    event.target.value = ''
    await all()
  }

  part('take').onclick = () => phone.take()
  phone.keep(how => {
    part('offer').hidden = how !== 'offered'
    part('offline').textContent = said(how === 'online' ? 'online' : 'kept')
  })
  phone.news.onmessage = () => document.activeElement?.closest('form') || all()

  if (location.hash) run = decodeURIComponent(location.hash.slice(1))
  phone.ready.then(all).then(async () => {
    part('link').textContent = said('loaded')
    const kept = await navigator.storage?.persist?.()
    part('persisted').textContent = said(kept ? 'persisted' : 'unpersisted')
  }).catch(wrong => {
    console.error(wrong)
    part('link').textContent = said(globalThis.DecompressionStream ? 'broken' : 'old')
  })
}
