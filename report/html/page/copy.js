// Buttons that copy the text of another element, or their own.
for (const button of document.querySelectorAll("[data-copies]")) {
  const words = button.textContent;
  button.hidden = false;
  button.addEventListener("click", async () => {
    const from = document.getElementById(button.dataset.copies);
    const text = from.dataset.plain || from.innerText.replaceAll("\u00a0", " ").replaceAll("\u2212", "-");
    try {
      await navigator.clipboard.writeText(text);
      button.textContent = "Copied";
    } catch {
      getSelection().selectAllChildren(from); // a page from a file may not be allowed to
      button.textContent = document.execCommand("copy") ? "Copied" : "Selected";
    }
    setTimeout(() => { button.textContent = words; }, 1500);
  });
}
