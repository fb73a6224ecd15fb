"""A table of many plants."""
print("code,taxon")
for n in range(400):
    print(f"GH-{n + 1},Goodyera hispida")
