/** The invented shop's cart: it shows what the element's event says. */
document.addEventListener("axle-chosen", ({ detail }) => {
  const item = document.createElement("li");
  item.textContent = `${detail.axle.name} (${detail.sku})`;
  document.querySelector("#chosen").append(item);
  document.querySelector("#empty").hidden = true;
  const { sku, verdict, fit_probability, request } = detail;
  document.querySelector("#detail").textContent = JSON.stringify({ sku, verdict, fit_probability, request }, null, 2);
});
